"""Posting: never more than either side has; what is wrong is put right by a counter posting."""

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from orders.domain.payments import free_overpaid, pay_back, post_payment, share_payment, take_back, take_off
from orders.models import Payment, PaymentPart, PromptTaken
from orders.queries.debts import debts, invoices_with_open, on_account, payments_with_left
from orders.queries.ledger import ledger_of
from tests.factories import make_person, make_shop
from tests.orders.ledger.books import balance_by_papers, key, make_credit, make_invoice

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return make_person("bookkeeper")


@pytest.fixture
def shop():
    return make_shop(name="The Lamp Room")


def today(back=0):
    return timezone.localdate() - timedelta(days=back)


def pay(shop, amount, by, parts=None, **fields):
    parts = {name: Decimal(part) for name, part in (parts or {}).items()}
    values = {"on": today(), "how": "bank", **fields}
    return post_payment(shop=shop, amount=Decimal(amount), by=by, parts=parts, **values)


def open_of(invoice):
    return invoices_with_open().get(pk=invoice.pk).open


def refusal(act, *args, **fields):
    with pytest.raises(ValidationError) as refused:
        act(*args, **fields)
    return refused.value.message_dict if hasattr(refused.value, "error_dict") else refused.value.messages


@pytest.fixture(autouse=True)
def ledgers_agree(db):
    """Whatever was posted: the ledger's balance is what is open of each paper less what lies on account."""
    yield
    for one in {payment.shop for payment in Payment.objects.select_related("shop")}:
        rows = ledger_of(one, "GBP")
        assert (rows[-1].balance if rows else 0) == balance_by_papers(one, "GBP")


def test_one_payment_over_many_invoices_in_part_and_on_account(shop, by):
    one, two, three = make_invoice(shop), make_invoice(shop, "80.00"), make_invoice(shop, "50.00")
    payment = pay(shop, "230.00", by, {key(one): "120", key(two): "30", key(three): "50"}, reference="LAMP 7")
    assert [open_of(row) for row in (one, two, three)] == [0, Decimal("50.00"), 0]
    assert on_account() == {(shop.pk, "GBP"): Decimal("30.00")}
    assert payment.parts.count() == 3
    [debt] = debts(today())
    assert (debt.owed, debt.aged.current, debt.aged.on_account) == (Decimal(20), Decimal(50), Decimal(30))


def test_the_same_form_sent_twice_is_one_payment(shop, by):
    one, submission = make_invoice(shop), uuid.uuid4()
    first = pay(shop, "120.00", by, {key(one): "120"}, submission=submission)
    assert pay(shop, "120.00", by, {key(one): "120"}, submission=submission) == first
    assert (Payment.objects.count(), PaymentPart.objects.count()) == (1, 1)


def test_never_more_than_the_paper_has_open_or_the_payment_holds(shop, by):
    one, two = make_invoice(shop), make_invoice(shop, "80.00")
    assert "has 120.00 open" in refusal(pay, shop, "200.00", by, {key(one): "120.01"})["parts"][0]
    said = refusal(pay, shop, "150.00", by, {key(one): "120", key(two): "80"})["parts"][0]
    assert said == "200.00 is put against papers, but there are 150.00."
    assert not Payment.objects.exists()


@pytest.mark.parametrize(
    ("amount", "said"),
    [("0", "above nought"), ("-5", "Money that went out is a refund"), ("100000000.00", "at most 99,999,999.99"),
     ("1.005", "Whole pence")],
)  # fmt: skip
def test_odd_amounts_are_refused(shop, by, amount, said):
    assert said in refusal(pay, shop, amount, by)["amount"][0]


def test_a_day_to_come_is_refused(shop, by):
    assert "up to today" in refusal(pay, shop, "1", by, on=today(-1))["on"][0]


def test_another_shops_paper_and_a_settled_one_are_refused(shop, by):
    theirs, ours = make_invoice(), make_invoice(shop)
    assert "not of this shop" in refusal(pay, shop, "9", by, {key(theirs): "9"})["parts"][0]
    pay(shop, "120", by, {key(ours): "120"})
    assert "settled by now" in refusal(pay, shop, "9", by, {key(ours): "9"})["parts"][0]


def test_another_currency_cannot_settle_it(shop, by):
    euro = make_invoice(shop, currency="EUR")
    said = refusal(pay, shop, "120", by, {key(euro): "120"})["currency"][0]
    assert said.endswith("is in EUR; a payment in GBP cannot settle it.")
    pay(shop, "120", by, {key(euro): "120"}, currency="EUR")
    assert open_of(euro) == 0


def test_a_shop_that_owes_nothing_has_it_on_account(shop, by):
    payment = pay(shop, "40.00", by)
    assert payments_with_left().get(pk=payment.pk).left == 40
    [debt] = debts(today())
    assert debt.owed == -40
    assert debt.step.startswith("We owe them")


def test_what_lies_on_account_is_shared_out_later(shop, by):
    payment = pay(shop, "100.00", by)
    one = make_invoice(shop)
    share_payment(payment=payment, parts={key(one): Decimal(70)}, by=by)
    assert open_of(one) == 50
    assert (
        "there are 30.00" in refusal(share_payment, payment=payment, parts={key(one): Decimal(31)}, by=by)["parts"][0]
    )
    assert "Say how much" in refusal(share_payment, payment=payment, parts={key(one): Decimal(0)}, by=by)["parts"][0]


def test_a_part_is_taken_off_again_and_the_first_posting_stays(shop, by):
    one = make_invoice(shop)
    payment = pay(shop, "120", by, {key(one): "120"})
    assert take_off(payment=payment, key=key(one), reason="meant for another", by=by) == 120
    assert take_off(payment=payment, key=key(one), reason="meant for another", by=by) == 0
    assert open_of(one) == 120
    assert list(payment.parts.values_list("amount", flat=True)) == [120, -120]


def test_a_bounced_payment_opens_everything_again_once(shop, by):
    one, two = make_invoice(shop), make_invoice(shop, "80.00")
    payment = pay(shop, "210", by, {key(one): "120", key(two): "80"})
    back = take_back(payment=payment, kind="bounced", on=today(), reason="no money", by=by)
    assert take_back(payment=payment, kind="bounced", on=today(), reason="no money", by=by) == back
    assert [open_of(one), open_of(two)] == [120, 80]
    assert on_account() == {}
    assert "counts no more" in refusal(share_payment, payment=payment, parts={key(one): Decimal(1)}, by=by)[0]
    assert "Only a payment" in refusal(take_back, payment=back, kind="mistake", on=today(), reason="x", by=by)[0]


def test_a_bounce_needs_a_reason_and_a_day_after_the_payment(shop, by):
    payment = pay(shop, "10", by, on=today(2))
    assert "Say why" in refusal(take_back, payment=payment, kind="bounced", on=today(), reason=" ", by=by)["reason"][0]
    assert "Not before" in refusal(take_back, payment=payment, kind="bounced", on=today(3), reason="x", by=by)["on"][0]


def test_what_lies_on_account_is_paid_back_and_no_more(shop, by):
    pay(shop, "30.00", by, on=today(1))
    second = pay(shop, "30.00", by)
    assert (
        "Only 60.00 GBP"
        in refusal(pay_back, shop=shop, amount=Decimal(61), on=today(), how="bank", by=by)["amount"][0]
    )
    refund = pay_back(shop=shop, amount=Decimal(40), on=today(), how="bank", by=by, reason="order called off")
    assert on_account() == {(shop.pk, "GBP"): Decimal("20.00")}
    said = refusal(take_back, payment=second, kind="bounced", on=today(), reason="x", by=by)
    assert said == ["Part of it was paid back to them: take that refund back first."]
    take_back(payment=refund, kind="mistake", on=today(), reason="never sent", by=by)
    assert on_account() == {(shop.pk, "GBP"): Decimal("60.00")}
    take_back(payment=second, kind="bounced", on=today(), reason="x", by=by)
    assert on_account() == {(shop.pk, "GBP"): Decimal("30.00")}


def test_a_credit_after_payment_leaves_money_on_account(shop, by):
    one = make_invoice(shop)
    payment = pay(shop, "120", by, {key(one): "120"})
    make_credit(one, "20.00")
    assert free_overpaid(invoice=one, by=by) == 20
    assert free_overpaid(invoice=one, by=by) == 0
    assert open_of(one) == 0
    assert payments_with_left().get(pk=payment.pk).left == 20


def test_a_credit_before_payment_frees_nothing(shop, by):
    one = make_invoice(shop)
    make_credit(one, "20.00")
    assert free_overpaid(invoice=one, by=by) == 0
    assert open_of(one) == 100


def test_prompt_payment_settles_and_is_taken_back_with_the_payment(shop, by):
    fields = {"prompt_by": today(), "prompt_percent": Decimal(10), "prompt_gross": Decimal("1080"),
              "prompt_vat": Decimal("180")}  # fmt: skip
    one = make_invoice(shop, "1200.00", **fields)
    payment = pay(shop, "1080", by, {key(one): "1080"}, prompt=[key(one)])
    assert open_of(one) == 0
    taken = PromptTaken.objects.get()
    assert (taken.gross, taken.vat) == (120, 20)
    take_back(payment=payment, kind="bounced", on=today(), reason="no money", by=by)
    assert open_of(one) == 1200


@pytest.mark.parametrize(("amount", "prompt_by"), [("1079", 0), ("1080", 1)])
def test_prompt_payment_short_or_late_gets_no_discount(shop, by, amount, prompt_by):
    fields = {"prompt_by": today(prompt_by), "prompt_percent": Decimal(10), "prompt_gross": Decimal("1080"),
              "prompt_vat": Decimal("180")}  # fmt: skip
    one = make_invoice(shop, "1200.00", **fields)
    assert "offers no discount" in refusal(pay, shop, amount, by, {key(one): amount}, prompt=[key(one)])["parts"][0]


def test_the_tables_refuse_what_the_domain_refuses(shop, by):
    payment = pay(shop, "10", by)
    bare = {"shop": shop, "on": today(), "at": timezone.now(), "by": by}
    for wrong in ({"amount": 0}, {"amount": 5, "kind": "bounced"}, {"amount": 5, "reverses": payment}):
        with pytest.raises(IntegrityError), transaction.atomic():
            Payment.objects.create(**bare, **wrong)
    for wrong in ({"amount": 0, "refund": payment}, {"amount": 5}):
        with pytest.raises(IntegrityError), transaction.atomic():
            PaymentPart.objects.create(payment=payment, at=timezone.now(), by=by, **wrong)


def test_what_is_posted_can_be_neither_changed_nor_deleted(shop, by):
    one = make_invoice(shop)
    payment = pay(shop, "10", by, {key(one): "10"})
    for rows in (Payment.objects, PaymentPart.objects):
        with pytest.raises(IntegrityError), transaction.atomic():
            rows.update(amount=1)
    with pytest.raises(IntegrityError), transaction.atomic():
        payment.parts.all().delete()
