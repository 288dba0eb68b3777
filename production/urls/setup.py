from django.urls import path

from inventory.urls.setup import paths_of
from production.views import setup

urlpatterns = [
    *paths_of(setup.CAROUSELS, "carousels"),
    *paths_of(setup.FRAME_KINDS, "frame-kinds"),
    path("set-up/frame-kinds/<int:pk>/pairs/", setup.frame_kind_pairs, name="frame_kind_pairs"),
    *paths_of(setup.WORKING_HOURS, "working-hours"),
    path("set-up/days-off/", setup.days_off, name="days_off"),
    *paths_of(setup.DAYS_OFF, "days-off")[1:],
    *paths_of(setup.WAX_HEATS, "wax-heat"),
    *paths_of(setup.CHANGE_OVERS, "change-over-times"),
    path("set-up/floor/", setup.figures, name="floor_figures"),
    path("set-up/costs/", setup.costs, name="cost_figures"),
]
