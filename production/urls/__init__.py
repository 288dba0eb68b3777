from production.urls import dip_list, dip_plan, floor, grading, labels, recipes, setup, vats, wax

urlpatterns = [
    *dip_list.urlpatterns,
    *dip_plan.urlpatterns,
    *floor.urlpatterns,
    *grading.urlpatterns,
    *labels.urlpatterns,
    *recipes.urlpatterns,
    *setup.urlpatterns,
    *vats.urlpatterns,
    *wax.urlpatterns,
]
