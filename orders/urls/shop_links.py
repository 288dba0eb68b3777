from django.urls import path

from orders.views import shop_links

urlpatterns = [
    path("own/<str:token>/", shop_links.own_view, name="own_view"),
    path("own/<str:token>/papers/<int:pk>/", shop_links.own_paper, name="own_paper"),
    path("orders/<int:number>/link/", shop_links.shop_link_make, name="shop_link_make"),
    path("orders/<int:number>/link/withdraw/", shop_links.shop_link_withdraw, name="shop_link_withdraw"),
]
