from production.urls import dip_list, dip_plan, floor, grading, recipes, setup, vats, wax

urlpatterns = [
    *dip_list.urlpatterns,
    *dip_plan.urlpatterns,
    *floor.urlpatterns,
    *grading.urlpatterns,
    *recipes.urlpatterns,
    *setup.urlpatterns,
    *vats.urlpatterns,
    *wax.urlpatterns,
]
