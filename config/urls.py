from django.urls import include, path

urlpatterns = [
    path("", include("config.people_urls")),
    path("", include("inventory.urls")),
    path("", include("production.urls")),
    path("", include("orders.urls")),
]
handler500 = "config.views.broken.broken"
