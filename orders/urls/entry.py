from django.urls import path

from orders.views import entry

urlpatterns = [
    path("orders/new/", entry.order_new, name="order_new"),
    path("orders/new/shops/", entry.shop_find, name="shop_find"),
    path("orders/<int:number>/entry/", entry.order_entry, name="order_entry"),
    path("orders/<int:number>/entry/save/", entry.order_save, name="order_save"),
    path("orders/<int:number>/entry/paste/", entry.order_paste, name="order_paste"),
    path("orders/<int:number>/entry/fill/", entry.order_fill, name="order_fill"),
    path("orders/<int:number>/entry/confirm/", entry.order_confirm, name="order_confirm"),
    path("orders/<int:number>/entry/discard/", entry.order_discard, name="order_discard"),
]
