from django.urls import path

from orders.views import books

urlpatterns = [
    path("ledger/day-book/", books.day_book, name="day_book"),
    path("ledger/vat/", books.vat_summary, name="vat_summary"),
    path("ledger/receipts/", books.receipts, name="receipts"),
    path("ledger/books/<slug:sheet>.csv", books.books_csv, name="books_csv"),
    path("ledger/books.xlsx", books.books_xlsx, name="books_xlsx"),
    path("ledger/periods/", books.periods, name="periods"),
    path("ledger/periods/open/", books.period_open, name="period_open"),
]
