from django.urls import path

from production.views import dip_list, own_wants

urlpatterns = [
    path("dip-list/", dip_list.dip_list, name="dip_list"),
    path("dip-list.csv", dip_list.dip_list_csv, name="dip_list_csv"),
    path("dip-list/spare/", dip_list.hang_spare, name="hang_spare"),
    path("dip-list/own/", own_wants.own_want_new, name="own_want_new"),
    path("dip-list/own/<int:pk>/", own_wants.own_want, name="own_want"),
    path("dip-list/own/<int:pk>/drop/", own_wants.own_want_drop, name="own_want_drop"),
]
