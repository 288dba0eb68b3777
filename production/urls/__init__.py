from production.urls import dip_list, floor, grading, recipes, setup, vats

urlpatterns = [
    *dip_list.urlpatterns,
    *floor.urlpatterns,
    *grading.urlpatterns,
    *recipes.urlpatterns,
    *setup.urlpatterns,
    *vats.urlpatterns,
]
