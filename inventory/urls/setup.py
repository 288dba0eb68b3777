from django.urls import path

from inventory.views import setup
from inventory.views.set_up_lists import SetUpList, list_view, remove_view, row_view


def paths_of(spec: SetUpList, folder: str) -> list:
    """The three addresses of a list: itself, a row, a row's deletion."""
    return [
        path(f"set-up/{folder}/", list_view(spec), name=spec.list_name),
        path(f"set-up/{folder}/<int:pk>/", row_view(spec), name=spec.row_name),
        path(f"set-up/{folder}/<int:pk>/delete/", remove_view(spec), name=f"{spec.row_name}_delete"),
    ]


urlpatterns = [
    path("set-up/workshop/", setup.workshop, name="workshop"),
    *paths_of(setup.SHELVES, "shelves"),
    *paths_of(setup.WAXES, "waxes"),
    *paths_of(setup.COLOURS, "colours"),
]
