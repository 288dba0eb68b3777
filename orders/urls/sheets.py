from django.urls import path

from orders.views import sheets, whole_book

urlpatterns = [
    path("set-up/sheets/", sheets.sheets_in, name="sheets_in"),
    path("set-up/sheets/of/<str:kind>/", sheets.sheet_kind, name="sheet_kind"),
    path("set-up/sheets/<int:pk>/", sheets.sheet_in, name="sheet_in"),
    path("set-up/sheets/<int:pk>/headings/", sheets.sheet_headings, name="sheet_headings"),
    path("set-up/take-with-you/", whole_book.take_with_you, name="take_with_you"),
    path("set-up/take-with-you/wickturn.xlsx", whole_book.take_xlsx, name="take_xlsx"),
    path("set-up/take-with-you/wickturn.zip", whole_book.take_csv, name="take_csv"),
]
