from django.urls import path

from inventory.views import catalogue

urlpatterns = [
    path("candles/", catalogue.candles, name="candles"),
    path("candles/new/", catalogue.candle_new, name="candle_new"),
    path("candles/<int:pk>/", catalogue.candle, name="candle"),
    path("candles/<int:pk>/edit/", catalogue.candle_edit, name="candle_edit"),
]
