from django.urls import path

from inventory.views import movements, stockroom

urlpatterns = [
    path("stockroom/", stockroom.stockroom, name="stockroom"),
    path("stockroom.csv", stockroom.stockroom_csv, name="stockroom_csv"),
    path("lots/", stockroom.lots, name="lots"),
    path("lots.csv", stockroom.lots_csv, name="lots_csv"),
    path("lots/<int:pk>/", stockroom.lot, name="lot"),
    path("lots/<int:pk>/adjust/", movements.adjust, name="adjust"),
    path("lots/<int:pk>/regrade/", movements.regrade, name="regrade"),
    path("lots/<int:pk>/shelf/", movements.shelve, name="shelve"),
    path("count-in/", movements.count_in, name="count_in"),
]
