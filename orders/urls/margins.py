from django.urls import path

from orders.views import margins

urlpatterns = [
    path("candles/<int:pk>/cost/", margins.candle_cost, name="candle_cost"),
    path("ledger/margins/<str:by>/", margins.margins_by, name="margins"),
    path("ledger/margins/<str:by>.<str:kind>", margins.margins_file, name="margins_file"),
]
