from production.urls import dip_list

urlpatterns = [*dip_list.urlpatterns]
