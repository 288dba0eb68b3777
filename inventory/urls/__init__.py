from inventory.urls import catalogue, counts, setup, stockroom

urlpatterns = [*stockroom.urlpatterns, *catalogue.urlpatterns, *counts.urlpatterns, *setup.urlpatterns]
