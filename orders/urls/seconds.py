from django.urls import path

from orders.views import seconds

urlpatterns = [
    path("seconds/", seconds.seconds_shelf, name="seconds_shelf"),
    path("seconds/sell/", seconds.seconds_sell, name="seconds_sell"),
]
