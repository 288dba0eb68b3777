"""The pages of debts and payments, each up the same ladder."""

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from orders.domain.payments import post_payment
from orders.models import Payment
from orders.queries.debts import invoices_with_open, payments_with_left
from tests.factories import make_person, make_shop
from tests.orders.ledger.books import key, make_invoice

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    return make_shop(name="The Lamp Room")


@pytest.fixture
def keeper(client_for):
    return client_for("bookkeeper")


def today(back=0):
    return timezone.localdate() - timedelta(days=back)


def pay(shop, amount, invoice=None):
    parts = {key(invoice): Decimal(amount)} if invoice else {}
    return post_payment(shop=shop, amount=Decimal(amount), on=today(), how="bank", parts=parts, by=make_person())


def typed(**fields):
    return {"amount": "120.00", "currency": "GBP", "on": today().isoformat(), "how": "bank", "reference": "",
            "submission": str(uuid.uuid4()), **fields}  # fmt: skip


def url(name, pk):
    return reverse(name, args=[pk])


def test_the_debts_say_who_owes_what_since_when_and_what_to_do(keeper, shop):
    assert "Nobody owes anything." in keeper.get(reverse("debts")).content.decode()
    make_invoice(shop, "120.00", due=-20)
    make_invoice(make_shop(name="Fern & Flint"), "80.00", due=5)
    page = keeper.get(reverse("debts")).content.decode()
    late = today(20)
    assert (
        f"2 shops owe 200.00; 120.00 of it is late, the oldest since {late.day} {late:%B %Y} (The Lamp Room)." in page
    )
    assert "Remind The Lamp Room" in page
    assert "Send a reminder." in page
    assert "All in time." in page


def test_two_currencies_are_never_added_up(keeper, shop):
    make_invoice(shop, "120.00")
    make_invoice(make_shop(currency="EUR"), "80.00", currency="EUR")
    page = keeper.get(reverse("debts")).content.decode()
    assert "1 shop owes 120.00, none of it late. 1 shop owes 80.00 EUR, none of it late." in page
    csv = keeper.get(reverse("debts_csv"), {"currency": "EUR"}).content.decode("utf-8-sig")
    assert ",80.00,,All in time.," in csv.splitlines()[1]
    assert len(csv.splitlines()) == 2


@pytest.mark.parametrize("query", ["?currency=x", "?gbp-page=x", "?gbp-sort=nonsense", "?currency=%00", "?page=-1"])
def test_lists_bear_any_query(keeper, shop, query):
    make_invoice(shop)
    for name in ("debts", "debts_csv"):
        assert keeper.get(reverse(name) + query).status_code == 200
    assert keeper.get(url("shop_ledger", shop.pk) + query).status_code == 200


def test_the_debts_ask_the_same_with_one_shop_and_with_thirty(keeper, django_assert_max_num_queries):
    for rows in (1, 29):
        for _ in range(rows):
            make_invoice(make_shop(), due=-20)
        with django_assert_max_num_queries(11):
            keeper.get(reverse("debts"))


def test_a_shops_ledger_asks_the_same_with_one_row_and_with_thirty(keeper, shop, django_assert_max_num_queries):
    for rows in (1, 29):
        for _ in range(rows):
            pay(shop, "120.00", make_invoice(shop))
        make_invoice(shop)
        with django_assert_max_num_queries(22):
            keeper.get(url("shop_ledger", shop.pk))


def test_a_shops_ledger_runs_its_balance(keeper, shop):
    first = make_invoice(shop, "120.00", due=-20)
    pay(shop, "100.00", first)
    answer = keeper.get(url("shop_ledger", shop.pk))
    assert [str(row.record.balance) for row in answer.context["table"].rows] == ["20.00", "120.00"]
    page = answer.content.decode()
    assert "The Lamp Room owes 20.00; all of it is late" in page
    assert url("late_charge_new", first.pk) in page
    pay(shop, "50.00")
    assert "We owe The Lamp Room 30.00." in keeper.get(url("shop_ledger", shop.pk)).content.decode()


def test_a_payment_is_proposed_first_and_posted_on_the_second_press(keeper, shop):
    one, two = make_invoice(shop, "120.00"), make_invoice(shop, "80.00")
    address = url("payment_new", shop.pk)
    sent = typed(amount="£200.00", share="1")
    proposed = keeper.post(address, sent)
    assert proposed.status_code == 200
    assert "Nothing is posted yet." in proposed.content.decode()
    assert not Payment.objects.exists()
    form = proposed.context["form"]
    assert [form[f"part_{key(row)}"].value() for row in (one, two)] == ["120.00", "80.00"]
    sent = {
        **typed(amount="200.00", submission=sent["submission"]),
        f"part_{key(one)}": "120",
        f"part_{key(two)}": "80",
    }
    answer = keeper.post(address, sent)
    made = Payment.objects.get()
    assert answer.url == made.get_absolute_url()
    keeper.post(address, sent)
    assert Payment.objects.count() == 1
    page = keeper.get(made.get_absolute_url()).content.decode()
    assert "Payment of 200.00 GBP of The Lamp Room" in page
    assert str(one) in page


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"amount": ""}, "amount"), ({"amount": "0"}, "amount"), ({"amount": "-5"}, "amount"),
        ({"amount": "1000000000"}, "amount"), ({"amount": "12x"}, "amount"), ({"amount": "1.005"}, "amount"),
        ({"amount": "NaN"}, "amount"), ({"on": ""}, "on"), ({"on": "31.02.2026"}, "on"), ({"how": "shells"}, "how"),
        ({"currency": "XXX"}, "currency"), ({"reference": "x" * 141}, "reference"),
        ({"reference": "\x00"}, "reference"), ({"submission": "x"}, "submission"),
    ],
)  # fmt: skip
def test_bad_input_is_refused_at_its_field_and_kept(keeper, shop, fields, field):
    make_invoice(shop)
    answer = keeper.post(url("payment_new", shop.pk), typed(**fields))
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert not Payment.objects.exists()


@pytest.mark.parametrize(
    ("part", "said"),
    [("130", "120.00 is put against papers"), ("120.01", "has 120.00 open"), ("-1", "greater than or equal to 0"),
     ("x", "Enter a number")],
)  # fmt: skip
def test_parts_that_do_not_fit_are_refused(keeper, shop, part, said):
    invoice = make_invoice(shop)
    said = said if part != "130" else "has 120.00 open"
    answer = keeper.post(url("payment_new", shop.pk), typed(**{f"part_{key(invoice)}": part, "amount": "130"}))
    assert answer.status_code == 422
    assert said in answer.content.decode()
    assert part in answer.content.decode()
    assert not Payment.objects.exists()


def test_another_currency_is_refused_in_words(keeper, shop):
    invoice = make_invoice(shop, currency="EUR")
    answer = keeper.post(url("payment_new", shop.pk), typed(**{f"part_{key(invoice)}": "120"}))
    assert "is in EUR; a payment in GBP cannot settle it." in answer.content.decode()
    assert not Payment.objects.exists()


def test_a_shop_that_owes_nothing_is_told_so_and_has_it_on_account(keeper, shop):
    page = keeper.get(url("payment_new", shop.pk)).content.decode()
    assert "The Lamp Room owes nothing: what it pays goes on account." in page
    keeper.post(url("payment_new", shop.pk), typed())
    assert payments_with_left().get().left == 120


def test_prompt_payment_is_offered_and_taken_by_its_tick(keeper, shop):
    fields = {"prompt_by": today(-1), "prompt_percent": Decimal(10), "prompt_gross": Decimal("108"),
              "prompt_vat": Decimal("18")}  # fmt: skip
    invoice = make_invoice(shop, "120.00", **fields)
    sent = typed(**{"amount": "108.00", f"part_{key(invoice)}": "108.00", f"prompt_{key(invoice)}": "on"})
    assert "settles" in keeper.get(url("payment_new", shop.pk)).content.decode()
    assert keeper.post(url("payment_new", shop.pk), sent).status_code == 302
    assert invoices_with_open().get(pk=invoice.pk).open == 0


def test_what_lies_on_account_is_used(keeper, shop):
    payment, invoice = pay(shop, "50.00"), make_invoice(shop)
    address = url("payment_share", payment.pk)
    assert keeper.get(address).context["form"].initial == {f"part_{key(invoice)}": 50}
    assert keeper.post(address, {f"part_{key(invoice)}": "60"}).status_code == 422
    assert keeper.post(address, {f"part_{key(invoice)}": "50"}).status_code == 302
    assert keeper.post(address, {f"part_{key(invoice)}": "50"}).status_code == 422
    assert invoices_with_open().get().open == 70


def test_a_payment_comes_off_a_paper(keeper, shop):
    invoice = make_invoice(shop)
    payment = pay(shop, "120.00", invoice)
    address = url("payment_off", payment.pk)
    for wrong in ({}, {"key": "x1", "reason": "y"}, {"key": key(invoice), "reason": " "}):
        assert keeper.post(address, wrong).status_code == 422
    for _ in range(2):
        assert keeper.post(address, {"key": key(invoice), "reason": "wrong one"}).status_code == 302
    assert invoices_with_open().get().open == 120


def test_a_bounced_payment_is_taken_back_once(keeper, shop):
    invoice = make_invoice(shop)
    payment = pay(shop, "120.00", invoice)
    address, sent = (
        url("payment_back", payment.pk),
        {"kind": "bounced", "on": today().isoformat(), "reason": "no money"},
    )
    assert keeper.post(address, {**sent, "reason": ""}).status_code == 422
    for _ in range(2):
        assert keeper.post(address, sent).status_code == 302
    assert Payment.objects.count() == 2
    assert "it bounced on" in keeper.get(payment.get_absolute_url()).content.decode()


def test_a_refund_is_posted_once_and_never_above_what_lies_there(keeper, shop):
    pay(shop, "50.00")
    address = url("refund_new", shop.pk)
    sent = typed(amount="50.00", reason="order called off")
    assert keeper.post(address, {**sent, "amount": "50.01"}).status_code == 422
    for _ in range(2):
        assert keeper.post(address, sent).status_code == 302
    refund = Payment.objects.get(kind="back")
    page = keeper.get(refund.get_absolute_url()).content.decode()
    assert "Refund of 50.00 GBP to The Lamp Room" in page
    assert "Paid out of" in page


@pytest.mark.parametrize("name", ["payment", "payment_share", "payment_off", "payment_back"])
def test_an_unknown_payment_is_not_there(keeper, name):
    assert keeper.get(url(name, 10**12)).status_code == 404


def test_the_ledger_is_the_bookkeepers(client_for, shop):
    payment = pay(shop, "50.00")
    for role in ("packer", "dipper"):
        client = client_for(role)
        for name in ("payment_new", "refund_new", "shop_ledger", "statement_new", "reminder_new"):
            assert client.get(url(name, shop.pk)).status_code == 403
            assert client.post(url(name, shop.pk), typed()).status_code in {403, 405}
        for name in ("payment", "payment_share", "payment_off", "payment_back"):
            assert client.get(url(name, payment.pk)).status_code == 403
            assert client.post(url(name, payment.pk), {}).status_code in {403, 405}
    assert Payment.objects.count() == 1


def test_reading_pages_refuse_to_be_posted_to(keeper, shop):
    payment = pay(shop, "50.00")
    for address in (reverse("debts"), reverse("debts_csv"), url("shop_ledger", shop.pk), payment.get_absolute_url()):
        assert keeper.post(address).status_code == 405
