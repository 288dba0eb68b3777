from django.urls import path

from production.views import remelt, wax_balance

urlpatterns = [
    path("materials/remelt/", remelt.remelt, name="remelt"),
    path("materials/wax-balance/", wax_balance.wax_balance, name="wax_balance"),
    path("materials/wax-balance.csv", wax_balance.wax_balance_csv, name="wax_balance_csv"),
    path("materials/wax-balance-vats.csv", wax_balance.wax_losses_csv, name="wax_losses_csv"),
]
