"""Exchange rates of the set-up: what invoices were made with stays as it was."""

from datetime import date

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max

from inventory.domain.set_up import add_row, change_row, remove_row
from inventory.words import day
from orders.models import ExchangeRate, Invoice


@transaction.atomic
def add_exchange_rate(*, row: ExchangeRate, by) -> ExchangeRate:
    """A rate from a day on; it can't reach back behind invoices in its currency."""
    _refuse_reaching_back(row.currency, row.since)
    return add_row(row=row, by=by)


@transaction.atomic
def change_exchange_rate(*, row: ExchangeRate, values: dict, seen: str, by) -> ExchangeRate:
    """Mend a rate no invoice can have used yet."""
    row = ExchangeRate.objects.select_for_update().get(pk=row.pk)
    _refuse_used(row)
    _refuse_reaching_back(values["currency"], values["since"])
    return change_row(row=row, values=values, seen=seen, by=by)


@transaction.atomic
def remove_exchange_rate(*, row: ExchangeRate, by) -> None:
    """Delete a rate no invoice can have used yet."""
    _refuse_used(row)
    remove_row(row=row, by=by)


def _newest(currency: str) -> date | None:
    return Invoice.objects.filter(currency=currency).aggregate(newest=Max("tax_point"))["newest"]


def _refuse_reaching_back(currency: str, since: date) -> None:
    newest = _newest(currency)
    if newest and since <= newest:
        raise ValidationError({"since": f"Invoices in {currency} go up to {day(newest)}: a day after that."})


def _refuse_used(row: ExchangeRate) -> None:
    newest = _newest(row.currency)
    if newest and row.since <= newest:
        raise ValidationError(
            f"The rate since {day(row.since)} stays: invoices in {row.currency} up to {day(newest)} rest on it."
        )
