"""An invoice of a shop, and the credit note off it, on days that stand still."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from orders.domain.credit_draft import Asked, Take
from orders.domain.crediting import issue_credit
from orders.models import CreditNote
from tests.factories import make_person
from tests.orders.invoices import TODAY

LATER = date(2026, 12, 3)


def take(invoice, position, pairs=0, amount="0.00"):
    return Take(invoice.lines.get(position=position).pk, pairs, Decimal(amount))


def ask(*takes, carriage="0.00", whole=False, **fields):
    values = {"why": "returned", "reason": "Came back unopened", "set_off_on": TODAY, **fields}
    return Asked(takes=None if whole else tuple(takes), carriage=Decimal(carriage), **values)


def credit(invoice, *takes, issued_on=LATER, submission=None, seen=None, **fields):
    return issue_credit(
        invoice=invoice,
        asked=ask(*takes, **fields),
        issued_on=issued_on,
        by=make_person("bookkeeper"),
        submission=submission,
        seen=seen,
    )


def refused(invoice, *takes, **fields) -> str:
    """Why the credit note is refused; nothing may have been issued."""
    before = CreditNote.objects.count()
    with pytest.raises(ValidationError) as error:
        credit(invoice, *takes, **fields)
    assert CreditNote.objects.count() == before
    return " ".join(error.value.messages)


def figures(row) -> list[str]:
    return [str(getattr(row, name)) for name in ("goods", "allowance", "carriage", "net", "vat", "gross")]
