from django.urls import path

from orders.views import invoices

urlpatterns = [
    path("ledger/", invoices.ledger, name="ledger"),
    path("ledger/invoices.csv", invoices.ledger_csv, name="ledger_csv"),
    path("ledger/invoices/<int:pk>/", invoices.invoice, name="invoice"),
    path("ledger/shops/<int:pk>/new/", invoices.invoice_new, name="invoice_new"),
]
