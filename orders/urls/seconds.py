from django.urls import path

from inventory.urls.setup import paths_of
from orders.views import seconds, seconds_boxes, seconds_lists, seconds_old
from orders.views.seconds_ages import SECONDS_AGES

urlpatterns = [
    path("seconds/", seconds.seconds_shelf, name="seconds_shelf"),
    path("seconds/sell/", seconds.seconds_sell, name="seconds_sell"),
    path("seconds/lots/", seconds.seconds_lots, name="seconds_lots"),
    path("seconds/lots.csv", seconds.seconds_lots_csv, name="seconds_lots_csv"),
    path("seconds/boxes/", seconds_boxes.seconds_boxes, name="seconds_boxes"),
    path("seconds/boxes/<int:pk>/", seconds_boxes.seconds_box, name="seconds_box"),
    path("seconds/boxes/<int:pk>/label.pdf", seconds_boxes.seconds_box_label, name="seconds_box_label"),
    path("seconds/boxes/<int:pk>/price/", seconds_boxes.seconds_box_price, name="seconds_box_price"),
    path("seconds/boxes/<int:pk>/open/", seconds_boxes.seconds_box_open, name="seconds_box_open"),
    path("seconds/boxes/<int:pk>/off/", seconds_boxes.seconds_box_off, name="seconds_box_off"),
    path("seconds/list/", seconds_lists.seconds_list, name="seconds_list"),
    path("seconds/list/send/", seconds_lists.seconds_list_send, name="seconds_list_send"),
    path("seconds/list/<int:pk>/", seconds_lists.seconds_list_paper, name="seconds_list_paper"),
    path("seconds/remelt/", seconds_old.seconds_remelt, name="seconds_remelt"),
    *paths_of(SECONDS_AGES, "seconds-ages"),
]
