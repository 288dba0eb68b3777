from django.urls import path

from orders.views import shop_parts, shops

urlpatterns = [
    path("shops/", shops.shops, name="shops"),
    path("shops/new/", shops.shop_new, name="shop_new"),
    path("shops/<int:pk>/", shops.shop, name="shop"),
    path("shops/<int:pk>/edit/", shops.shop_edit, name="shop_edit"),
    path("shops/<int:pk>/addresses/new/", shop_parts.address_new, name="address_new"),
    path("shops/<int:pk>/addresses/<int:address_pk>/", shop_parts.address_edit, name="address_edit"),
    path("shops/<int:pk>/addresses/<int:address_pk>/remove/", shop_parts.address_remove, name="address_remove"),
    path("shops/<int:pk>/contacts/new/", shop_parts.contact_new, name="contact_new"),
    path("shops/<int:pk>/contacts/<int:contact_pk>/", shop_parts.contact_edit, name="contact_edit"),
    path("shops/<int:pk>/contacts/<int:contact_pk>/remove/", shop_parts.contact_remove, name="contact_remove"),
]
