from django.urls import path

from orders.views import season, season_floor

urlpatterns = [
    path("season/", season.season, name="season"),
    path("season/candles/", season.season_candles, name="season_candles"),
    path("season/shops/", season.season_shops, name="season_shops"),
    path("season/weeks/", season_floor.season_load, name="season_load"),
    path("season/weeks/try/", season_floor.season_try, name="season_try"),
    path("season/last-orders/", season_floor.season_last_orders, name="season_last_orders"),
    path("season/ahead/", season_floor.season_ahead, name="season_ahead"),
    path("season/ahead/put/", season_floor.season_ahead_put, name="season_ahead_put"),
    path("season/before/", season.season_before, name="season_before"),
    path("season/before/out/", season.season_before_out, name="season_before_out"),
    path("season/figures/", season.season_figures_page, name="season_figures"),
    path("season/<slug:sheet>.csv", season.season_csv, name="season_csv"),
]
