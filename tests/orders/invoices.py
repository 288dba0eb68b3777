"""A shop that is invoiced, what was sent to it, and the invoice of it, on days that stand still."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from orders.domain.invoicing import issue_invoice
from orders.models import Paper
from tests.factories import make_candle, make_order, make_person, make_shop, make_workshop
from tests.factories.sent import make_sent

LEFT, TODAY = date(2026, 11, 20), date(2026, 11, 25)


def make_invoiced_shop():
    """A shop with carriage 8.50 GBP, free above 250, and 5 % discount; and the workshop that invoices it."""
    make_workshop()
    return make_shop(carriage=Decimal("8.50"), carriage_free_above=Decimal("250"), discount=Decimal("5"))


def sell(shop, *pairs, price="4.75", left_on=LEFT, vat_class="standard", sent=(), **fields):
    candles = [make_candle(trade_price=Decimal(price), vat_class=vat_class) for _ in pairs]
    order = make_order(shop, list(zip(candles, pairs, strict=True)), **fields)
    return order, make_sent(order, *sent, left_on=left_on)


def issue(shop, *deliveries, issued_on=TODAY, **more):
    by = more.pop("by", None) or make_person("bookkeeper")
    return issue_invoice(shop=shop, delivery_ids=[d.pk for d in deliveries], issued_on=issued_on, by=by, **more)


def refusal(shop, *deliveries, **more) -> str:
    """Why the invoice is refused; nothing may have been issued."""
    with pytest.raises(ValidationError) as refused:
        issue(shop, *deliveries, **more)
    assert not Paper.objects.filter(kind="invoice").exists()
    return " ".join(refused.value.messages)
