from production.urls import dip_list, grading

urlpatterns = [*dip_list.urlpatterns, *grading.urlpatterns]
