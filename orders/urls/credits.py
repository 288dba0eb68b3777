from django.urls import path

from inventory.urls.setup import paths_of
from orders.views import before_sending, credits, returns
from orders.views.exchange_rates import EXCHANGE_RATES

urlpatterns = [
    path("ledger/invoices/<int:pk>/credit/", credits.credit_new, name="credit_new"),
    path("ledger/invoices/<int:pk>/evidence/", credits.export_evidence, name="export_evidence"),
    path("ledger/credit-notes/<int:pk>/", credits.credit_note, name="credit_note"),
    path("orders/<int:number>/pro-forma/", before_sending.pro_forma, name="pro_forma"),
    path("orders/<int:number>/deposit/", before_sending.deposit_new, name="deposit_new"),
    path("deliveries/<int:pk>/back/", returns.take_back, name="take_back"),
    *paths_of(EXCHANGE_RATES, "exchange-rates"),
]
