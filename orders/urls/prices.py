from django.urls import path

from inventory.urls.setup import paths_of
from orders.views import agreed, prices, trade_list

urlpatterns = [
    path("set-up/price-lists/", prices.price_lists, name="price_lists"),
    path("set-up/price-lists/new/", prices.price_list_new, name="price_list_new"),
    path("set-up/price-lists/<int:pk>/", prices.price_list, name="price_list"),
    path("set-up/price-lists/<int:pk>/delete/", prices.price_list_delete, name="price_list_delete"),
    path("price-lists/<int:pk>/trade-list.pdf", trade_list.trade_list, name="trade_list"),
    *paths_of(prices.SHOP_GROUPS, "shop-groups"),
    *paths_of(prices.SECONDS_PRICES, "seconds-prices"),
    path("shops/<int:pk>/prices.pdf", trade_list.shop_trade_list, name="shop_trade_list"),
    path("shops/<int:pk>/agreed/new/", agreed.agreed_new, name="agreed_new"),
    path("shops/<int:pk>/agreed/<int:agreed_pk>/", agreed.agreed_edit, name="agreed_edit"),
    path("shops/<int:pk>/agreed/<int:agreed_pk>/remove/", agreed.agreed_remove, name="agreed_remove"),
]
