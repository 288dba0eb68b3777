from django.urls import path

from production.views import dip_list

urlpatterns = [
    path("dip-list/", dip_list.dip_list, name="dip_list"),
    path("dip-list.csv", dip_list.dip_list_csv, name="dip_list_csv"),
]
