from django.urls import path

from orders.views import sheets

urlpatterns = [
    path("set-up/sheets/", sheets.sheets_in, name="sheets_in"),
    path("set-up/sheets/of/<str:kind>/", sheets.sheet_kind, name="sheet_kind"),
    path("set-up/sheets/<int:pk>/", sheets.sheet_in, name="sheet_in"),
    path("set-up/sheets/<int:pk>/headings/", sheets.sheet_headings, name="sheet_headings"),
]
