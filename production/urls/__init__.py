from production.urls import dip_list, grading, recipes, setup, vats

urlpatterns = [
    *dip_list.urlpatterns,
    *grading.urlpatterns,
    *recipes.urlpatterns,
    *setup.urlpatterns,
    *vats.urlpatterns,
]
