"""Who owes what since when, and the ledger of one shop."""

from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from config.roles import for_roles
from inventory.csv_out import csv_response
from inventory.views.paging import RequestConfig
from orders.aged import debt_sentence
from orders.domain.statements import debt_of
from orders.models import Payment, Shop
from orders.models.price import CURRENCIES, STERLING
from orders.queries.bank import lines_waiting
from orders.queries.debts import debts as all_debts
from orders.queries.debts import total_of
from orders.queries.ledger import currencies_of, ledger_of
from orders.tables.debts import DebtTable, LedgerTable, OpenTable, ages_line

PER_PAGE = 50


@for_roles("bookkeeper")
@require_safe
def debts(request):
    found = all_debts(timezone.localdate())
    tables = _tables(request, found)
    late = [debt for debt in found if debt.oldest]
    context = {
        "headline": " ".join(table.sentence for table in tables) or "Nobody owes anything.",
        "tables": tables,
        "next": next((debt for debt in late if "reminder" in debt.step), None),
        "bank_lines": lines_waiting().count(),
    }
    return render(request, "orders/debts.html", context)


@for_roles("bookkeeper")
@require_safe
def debts_csv(request):
    found = all_debts(timezone.localdate())
    currency = asked_currency(request)
    rows = [debt for debt in found if debt.currency == currency]
    return csv_response(DebtTable(rows, total=total_of(rows, currency)), f"debts-{currency.lower()}")


def _tables(request, found) -> list[DebtTable]:
    """A table a currency, sterling first; amounts of two currencies are never added up."""
    tables = []
    for currency in sorted({debt.currency for debt in found}, key=lambda one: (one != STERLING, one)):
        rows = [debt for debt in found if debt.currency == currency]
        table = DebtTable(rows, total=total_of(rows, currency), prefix=f"{currency.lower()}-")
        RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
        owing = [debt for debt in rows if debt.papers]
        oldest = min((debt for debt in rows if debt.oldest), key=lambda debt: debt.oldest, default=None)
        table.currency = currency
        table.sentence = debt_sentence(
            len(owing),
            table.total,
            oldest=oldest.oldest if oldest else None,
            whose=oldest.shop.name if oldest else "",
            currency=currency,
        )
        tables.append(table)
    return tables


def asked_currency(request, otherwise: str = STERLING) -> str:
    """The currency the address names; `otherwise` for none or one the book does not know."""
    asked = request.GET.get("currency", "")
    return asked if asked in dict(CURRENCIES) else otherwise


@for_roles("bookkeeper")
@require_safe
def shop_ledger(request, pk):
    shop, today = get_object_or_404(Shop, pk=pk), timezone.localdate()
    currencies = currencies_of(shop)
    currency = asked_currency(request, currencies[0])
    debt = debt_of(shop, currency, today)
    table = LedgerTable(ledger_of(shop, currency)[::-1])
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    free = Payment.objects.filter(shop=shop, currency=currency, kind="in", taken_back=None)
    context = {
        "shop": shop,
        "currency": currency,
        "others": [one for one in currencies if one != currency],
        "debt": debt,
        "ages": ages_line(debt.aged) if debt else "",
        "open": OpenTable(debt.papers if debt else [], today=today, prefix="open-"),
        "late": [one for one in debt.papers if one.due_on < today and one.key[0] == "i"] if debt else [],
        "table": table,
        "newest_free": free.order_by("-on", "-pk").first() if debt and debt.aged.on_account else None,
    }
    return render(request, "orders/shop_ledger.html", context)
