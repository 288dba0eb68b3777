from django.urls import path

from orders.views import buying

urlpatterns = [
    path("materials/what-to-buy/", buying.material_needs, name="material_needs"),
    path("materials/what-to-buy/order/", buying.material_needs_order, name="material_needs_order"),
    path("materials/what-to-buy.csv", buying.material_needs_csv, name="material_needs_csv"),
]
