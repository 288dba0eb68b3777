from inventory.urls import catalogue, counts, labels, materials, setup, stockroom

urlpatterns = [
    *stockroom.urlpatterns,
    *catalogue.urlpatterns,
    *counts.urlpatterns,
    *labels.urlpatterns,
    *materials.urlpatterns,
    *setup.urlpatterns,
]
