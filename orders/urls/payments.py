from django.urls import path

from inventory.urls.setup import paths_of
from orders.views import bank, debts, letters, payments, statements
from orders.views.base_rates import BASE_RATES

urlpatterns = [
    path("ledger/debts/", debts.debts, name="debts"),
    path("ledger/debts.csv", debts.debts_csv, name="debts_csv"),
    path("shops/<int:pk>/ledger/", debts.shop_ledger, name="shop_ledger"),
    path("shops/<int:pk>/payments/new/", payments.payment_new, name="payment_new"),
    path("shops/<int:pk>/refunds/new/", payments.refund_new, name="refund_new"),
    path("shops/<int:pk>/statements/new/", statements.statement_new, name="statement_new"),
    path("shops/<int:pk>/reminders/new/", statements.reminder_new, name="reminder_new"),
    path("ledger/payments/<int:pk>/", payments.payment, name="payment"),
    path("ledger/payments/<int:pk>/share/", payments.payment_share, name="payment_share"),
    path("ledger/payments/<int:pk>/off/", payments.payment_off, name="payment_off"),
    path("ledger/payments/<int:pk>/back/", payments.payment_back, name="payment_back"),
    path("ledger/invoices/<int:pk>/late-charge/", statements.late_charge_new, name="late_charge_new"),
    path("ledger/late-charges/<int:pk>/", statements.late_charge, name="late_charge"),
    path("ledger/late-charges/<int:pk>/let-go/", statements.late_charge_waive, name="late_charge_waive"),
    path("ledger/bank/", bank.bank, name="bank"),
    path("ledger/bank/<int:pk>/", bank.bank_file, name="bank_file"),
    path("ledger/bank/<int:pk>/columns/", bank.bank_columns, name="bank_columns"),
    path("ledger/bank/lines/<int:pk>/", bank.bank_line, name="bank_line"),
    path("ledger/bank/lines/<int:pk>/aside/", bank.bank_line_aside, name="bank_line_aside"),
    path("letters/", letters.letters, name="letters"),
    path("letters/<int:pk>/", letters.letter, name="letter"),
    path("letters/<int:pk>/again/", letters.letter_again, name="letter_again"),
    path("letters/<int:pk>/drop/", letters.letter_drop, name="letter_drop"),
    *paths_of(BASE_RATES, "base-rates"),
]
