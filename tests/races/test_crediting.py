"""Two who credit one invoice, or take back one delivery, at once: together they never take more than there is."""

import uuid
from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from orders.audit import breaches
from orders.domain.credit_draft import Asked, Take
from orders.domain.crediting import issue_credit
from orders.domain.invoicing import issue_invoice
from orders.domain.returns import Back, take_back
from orders.models import CreditNote, Return
from tests.factories import make_order, make_person, make_shop, make_workshop
from tests.factories.sent import make_sent
from tests.races.threads import together

TODAY = date(2026, 11, 25)
MANY = 6


def make_invoice(by):
    make_workshop()
    shop = make_shop()
    delivery = make_sent(make_order(shop))
    return delivery, issue_invoice(shop=shop, delivery_ids=[delivery.pk], issued_on=TODAY, by=by)


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_an_invoice_credited_many_times_at_once_is_credited_to_nought_and_no_further():
    by = make_person("bookkeeper")
    _, invoice = make_invoice(by)
    line = invoice.lines.get()
    asked = Asked(why="returned", reason="Came back", set_off_on=TODAY, takes=(Take(line.pk, 10),))
    results = together(*[lambda: issue_credit(invoice=invoice, asked=asked, issued_on=TODAY, by=by)] * MANY)
    # 24 pairs: ten, ten, and no third ten.
    assert sum(isinstance(result, CreditNote) for result in results) == 2, results
    assert all(isinstance(result, CreditNote | ValidationError) for result in results), results
    assert not [line for line in breaches() if "credit" in line or "invoice" in line]


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_a_return_sent_many_times_at_once_comes_back_once():
    by = make_person()
    delivery, _ = make_invoice(by)
    line, key = delivery.lines.get(), uuid.uuid4()
    results = together(
        *[
            lambda: take_back(
                delivery=delivery,
                backs=[Back(line.pk, firsts=24)],
                reason="Refused",
                came_on=timezone.localdate(),
                by=by,
                submission=key,
            )
        ]
        * MANY
    )
    assert all(isinstance(result, Return) for result in results), results
    assert (Return.objects.count(), CreditNote.objects.count()) == (1, 1)
    line.lot.refresh_from_db()
    assert line.lot.on_hand == 24
