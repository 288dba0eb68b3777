from django.urls import path

from inventory.urls.setup import paths_of
from orders.views import setup

urlpatterns = [
    path("set-up/", setup.set_up, name="set_up"),
    *paths_of(setup.BOX_KINDS, "box-kinds"),
    *paths_of(setup.VAN_DAYS, "van-days"),
    *paths_of(setup.VAT_RATES, "vat-rates"),
    path("set-up/numbers/", setup.series, name="series"),
    path("set-up/numbers/<int:pk>/", setup.next_number, name="next_number"),
]
