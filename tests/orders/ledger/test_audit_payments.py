"""Each breach of the ledger is planted behind the domain's back; the audit names it."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.triggers import unguard
from orders.audit import papers, payments
from orders.domain.bank import post_line_by_hand, say_columns, take_in_file
from orders.domain.late import add_late_charge, late_offer, waive_late_charge
from orders.domain.payments import pay_back, post_payment, take_back
from orders.models import BankColumns, BankLine, BaseRate, LateCharge, Payment, PaymentPart
from tests.factories import make_person, make_shop, make_workshop
from tests.inventory.test_audit import Editor
from tests.orders.ledger.books import key, make_invoice

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    make_workshop()
    return make_person()


@pytest.fixture
def shop():
    return make_shop(name="The Lamp Room")


def today():
    return timezone.localdate()


def pay(shop, amount, by, invoice=None):
    parts = {key(invoice): Decimal(amount)} if invoice else {}
    return post_payment(shop=shop, amount=Decimal(amount), on=today(), how="bank", parts=parts, by=by)


def plant(payment, amount, by, **aim):
    """A part the domain would have refused."""
    return PaymentPart.objects.create(payment=payment, amount=Decimal(amount), at=timezone.now(), by=by, **aim)


def change(model, pk, **fields):
    unguard(Editor, model._meta.db_table)
    model.objects.filter(pk=pk).update(**fields)


def said() -> str:
    return "\n".join(payments.breaches())


def charge(invoice, by):
    offer = late_offer(invoice=invoice, until=today())
    return add_late_charge(
        invoice=invoice, until=today(), policy="exact", with_fixed=True, seen=offer.seen, by=by
    )  # fmt: skip


def test_a_ledger_posted_by_the_domain_is_sound(shop, by):
    BaseRate.objects.create(percent="4.00", since=date(2020, 1, 1))
    one, two = make_invoice(shop, due=-50), make_invoice(shop, "80.00")
    bounced = pay(shop, "120", by, one)
    take_back(payment=bounced, kind="bounced", on=today(), reason="x", by=by)
    pay(shop, "80", by, two)
    pay(shop, "40", by)
    pay_back(shop=shop, amount=Decimal(30), on=today(), how="bank", by=by)
    waive_late_charge(charge=charge(one, by), reason="x", by=by)
    assert said() == ""


def test_a_payment_put_against_more_than_came_in(shop, by):
    one, two = make_invoice(shop), make_invoice(shop)
    plant(pay(shop, "120", by, one), "5", by, invoice=two)
    assert "125.00 of it is put against papers, 120.00 came in" in said()


def test_an_invoice_paid_above_what_it_comes_to(shop, by):
    one = make_invoice(shop)
    pay(shop, "120", by, one)
    plant(pay(shop, "10", by), "10", by, invoice=one)
    assert f"invoice {one}: 130.00 paid, 0.00 credited and 0.00 discount are more than its 120.00" in said()


def test_a_payment_taken_back_that_still_settles(shop, by):
    one = make_invoice(shop)
    payment = pay(shop, "120", by, one)
    Payment.objects.create(
        kind="bounced", shop=shop, amount=120, on=today(), reverses=payment, at=timezone.now(), by=by
    )
    found = said()
    assert f"payment {payment.pk} was taken back, yet 120.00 of it still settles papers" in found
    assert "ledger of The Lamp Room, Orrin Bay in GBP" in found


def test_a_payment_taken_back_in_part(shop, by):
    payment = pay(shop, "120", by)
    back = take_back(payment=payment, kind="bounced", on=today(), reason="x", by=by)
    change(Payment, back.pk, amount=100)
    assert f"payment {back.pk} takes back payment {payment.pk}, but of another amount" in said()


def test_a_part_over_two_shops_or_below_nought(shop, by):
    theirs, payment = make_invoice(), pay(shop, "10", by)
    plant(payment, "4", by, invoice=theirs)
    assert "settles a paper of another shop or currency" in said()
    plant(payment, "-9", by, invoice=theirs)
    assert "more was taken off a paper than was put against it" in said()


def test_a_refund_out_of_nothing(shop, by):
    pay(shop, "50", by)
    refund = Payment.objects.create(
        kind="back", shop=shop, amount=20, on=today(), at=timezone.now(), by=by
    )  # fmt: skip
    assert f"refund {refund.pk}: 20.00 was paid back, out of 0.00 on account" in said()


def test_a_charge_that_is_printed_otherwise_or_still_paid_after_it_was_let_go(shop, by):
    BaseRate.objects.create(percent="4.00", since=date(2020, 1, 1))
    made = charge(make_invoice(shop, "1000.00", due=-50), by)
    waive_late_charge(charge=made, reason="x", by=by)
    plant(pay(shop, "10", by), "10", by, late_charge=made)
    change(LateCharge, made.pk, interest=1, amount=71)
    found = said()
    assert "was let go, yet 10.00 is put against it" in found
    assert f"late charge {made}: 71.00 in the ledger, {made.paper.content['amount']} printed" in found


def test_a_bank_line_and_its_payment_that_differ(shop, by):
    day = today() - timedelta(days=1)
    raw = f"Date,Description,Reference,Amount\n{day:%d/%m/%Y},LAMP,,5.00\n"
    file = take_in_file(name="x.csv", raw=raw.encode(), by=by)
    columns = BankColumns(name="Main", day="Date", text="Description", reference="Reference", amount="Amount")
    say_columns(file=file, columns=columns, by=by)
    line = file.lines.get()
    post_line_by_hand(line=line, shop=shop, parts={}, by=by)
    assert said() == ""
    BankLine.objects.update(amount=6)
    assert f"bank line {line.pk} says 6" in said()


def test_missing_guards_and_gaps_are_named(shop, by):
    unguard(Editor, "orders_payment", "orders_paymentpart")
    found = "\n".join(papers.breaches())
    assert "table orders_payment: the trigger that refuses UPDATE is missing" in found
    assert "table orders_paymentpart: the trigger that refuses DELETE is missing" in found


def test_pennies_that_binary_fractions_cannot_hold_are_no_breach(shop, by):
    """0.10 and 0.20 make 0.30, whatever a computer's fractions make of them (and 0.30 less both is nought)."""
    for amount in ("0.10", "0.20"):
        pay(shop, amount, by)
    refund = pay_back(shop=shop, amount=Decimal("0.30"), on=today(), how="bank", by=by)
    assert not said()
    take_back(payment=refund, kind="mistake", on=today(), reason="not sent after all", by=by)
    invoice, first = make_invoice(shop), Payment.objects.order_by("pk").first()
    # On and off again in other steps: 0.01 + 0.06 - 0.07 is a little below nought in binary.
    for amount in ("0.01", "0.06", "-0.07"):
        plant(first, amount, by, invoice=invoice)
    assert not said()
