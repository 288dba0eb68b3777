"""Late charges: offered, never added by themselves, added only by the owner's tick, with a paper and no VAT."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from orders.domain.late import add_late_charge, late_offer, waive_late_charge
from orders.domain.papers import paper_pdf
from orders.domain.payments import post_payment
from orders.domain.statements import draft_reminder, draft_statement
from orders.models import BaseRate, LateCharge
from orders.queries.debts import debts, on_account
from orders.queries.ledger import ledger_of
from tests.factories import make_person, make_shop, make_workshop
from tests.orders.ledger.books import balance_by_papers, key, make_credit, make_invoice
from tests.orders.test_invoice_paper import pages_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner():
    make_workshop()
    BaseRate.objects.all().delete()
    BaseRate.objects.create(percent="4.00", since=date(2020, 1, 1))
    return make_person()


def today(back=0):
    return timezone.localdate() - timedelta(days=back)


def charge(invoice, by, *, policy="exact", with_fixed=True):
    offer = late_offer(invoice=invoice, until=today())
    return add_late_charge(
        invoice=invoice, until=today(), policy=policy, with_fixed=with_fixed, seen=offer.seen, by=by
    )


def refusal(act, **fields) -> str:
    with pytest.raises(ValidationError) as refused:
        act(**fields)
    return " ".join(refused.value.messages)


def test_interest_and_fixed_sum_are_offered_to_the_penny(owner):
    offer = late_offer(invoice=make_invoice(gross="1000.00", due=-50), until=today())
    assert (offer.rate.percent, offer.fixed) == (12, 70)
    # 1000 x 12 % x 50 / 365 = 16.438; by the day 0.33 x 50
    assert (offer.interest("exact"), offer.interest("day")) == (Decimal("16.44"), Decimal("16.50"))
    assert offer.amount() == Decimal("86.44")


def test_nothing_is_ever_added_by_itself(owner, client_for):
    shop = make_shop(name="The Lamp Room")
    invoice = make_invoice(shop, "1000.00", due=-90)
    client = client_for(person=owner)
    for name, pk in (("debts", None), ("shop_ledger", shop.pk), ("statement_new", shop.pk), ("reminder_new", shop.pk),
                     ("late_charge_new", invoice.pk)):  # fmt: skip
        assert client.get(reverse(name, args=[pk] if pk else [])).status_code == 200
    draft_statement(shop=shop, currency="GBP", today=today())
    assert draft_reminder(shop=shop, currency="GBP", today=today())["now"] == "1,000.00"
    assert not LateCharge.objects.exists()
    assert balance_by_papers(shop, "GBP") == 1000


def test_the_owners_tick_charges_it_once_with_a_paper(owner, client_for):
    shop = make_shop(name="The Lamp Room")
    invoice = make_invoice(shop, "1000.00", due=-50)
    client, url = client_for(person=owner), reverse("late_charge_new", args=[invoice.pk])
    shown = client.get(url).context["form"].initial
    sent = {"seen": shown["seen"], "until": shown["until"], "policy": "day", "with_fixed": "on"}
    unticked = client.post(url, sent)
    assert unticked.status_code == 422
    assert "Nothing is charged without" in unticked.content.decode()
    assert not LateCharge.objects.exists()
    answer = client.post(url, {**sent, "sure": "on"})
    made = LateCharge.objects.get()
    assert answer.url == made.get_absolute_url()
    assert (made.interest, made.fixed, made.amount) == (Decimal("16.50"), 70, Decimal("86.50"))
    again = client.post(url, {**sent, "sure": "on"})
    assert again.status_code == 422
    assert "charged already" in again.content.decode()
    assert LateCharge.objects.count() == 1
    [page] = pages_of(paper_pdf(made.paper))
    for said in ("Charge for late payment", f"Invoice {invoice} of", "12 % a year", "50 days 1,000.00 0.33 16.50",
                 "Fixed sum for the trouble 70.00", "To pay £86.50", "There is no VAT on it."):  # fmt: skip
        assert said in page
    assert ledger_of(shop, "GBP")[-1].balance == balance_by_papers(shop, "GBP") == Decimal("1086.50")


def test_only_the_owner_charges(owner, client_for):
    invoice = make_invoice(due=-50)
    keeper = client_for("bookkeeper")
    page = keeper.get(reverse("late_charge_new", args=[invoice.pk]))
    assert "Only the owner charges it." in page.content.decode()
    assert "Only the owner" in refusal(charge, invoice=invoice, by=keeper.person)
    made = charge(invoice, owner)
    assert keeper.post(reverse("late_charge_waive", args=[made.pk]), {"reason": "x"}).status_code == 403


def test_figures_that_changed_charge_nothing(owner):
    shop = make_shop()
    invoice = make_invoice(shop, due=-50)
    seen = late_offer(invoice=invoice, until=today()).seen
    post_payment(shop=shop, amount=Decimal(20), on=today(9), how="bank", parts={key(invoice): Decimal(20)}, by=owner)
    fields = {"invoice": invoice, "until": today(), "policy": "exact", "with_fixed": True, "by": owner}
    assert "figures changed" in refusal(add_late_charge, seen=seen, **fields)
    assert not LateCharge.objects.exists()


def test_a_part_payment_and_a_credit_count(owner):
    shop = make_shop()
    invoice = make_invoice(shop, "1200.00", due=-20)
    make_credit(invoice, "200.00")
    post_payment(
        shop=shop, amount=Decimal(400), on=today(10), how="bank", parts={key(invoice): Decimal(400)}, by=owner
    )
    offer = late_offer(invoice=invoice, until=today())
    assert [(one.days, one.debt) for one in offer.stretches] == [(10, 1000), (10, 600)]
    assert offer.amount() == Decimal("75.26")


def test_charged_days_and_the_fixed_sum_are_not_charged_again(owner):
    invoice = make_invoice(gross="1000.00", due=-50)
    first = late_offer(invoice=invoice, until=today(10))
    add_late_charge(invoice=invoice, until=today(10), policy="exact", with_fixed=True, seen=first.seen, by=owner)
    rest = late_offer(invoice=invoice, until=today())
    assert ([one.days for one in rest.stretches], rest.fixed) == ([10], 0)


def test_a_debt_paid_late_can_still_be_charged_for(owner):
    shop = make_shop()
    invoice = make_invoice(shop, "1000.00", due=-50)
    post_payment(
        shop=shop, amount=Decimal(1000), on=today(40), how="bank", parts={key(invoice): Decimal(1000)}, by=owner
    )
    assert [one.days for one in late_offer(invoice=invoice, until=today()).stretches] == [10]


def test_what_cannot_be_charged_says_why(owner):
    assert "is not late" in refusal(late_offer, invoice=make_invoice(due=0), until=today())
    assert "in pounds" in refusal(late_offer, invoice=make_invoice(due=-9, currency="EUR"), until=today())
    BaseRate.objects.all().delete()
    assert "no base rate for" in refusal(late_offer, invoice=make_invoice(due=-9), until=today())


def test_a_base_rate_of_later_changes_nothing(owner):
    invoice = make_invoice(gross="1000.00", due=-50)
    before = late_offer(invoice=invoice, until=today())
    BaseRate.objects.create(percent="9.00", since=invoice.due_on + timedelta(days=1))
    assert late_offer(invoice=invoice, until=today()) == before


def test_a_charge_let_go_is_owed_no_more_and_what_was_paid_is_on_account(owner):
    shop = make_shop()
    made = charge(make_invoice(shop, "1000.00", due=-50), owner)
    post_payment(shop=shop, amount=Decimal(50), on=today(), how="bank", parts={f"l{made.pk}": Decimal(50)}, by=owner)
    waive_late_charge(charge=made, reason="good will", by=owner)
    waive_late_charge(charge=made, reason="good will", by=owner)
    assert on_account() == {(shop.pk, "GBP"): Decimal("50.00")}
    [debt] = debts(today())
    assert debt.owed == 950 == ledger_of(shop, "GBP")[-1].balance


def test_the_tables_refuse_what_does_not_add_up(owner):
    made = charge(make_invoice(due=-50), owner)
    for wrong in ({"amount": 1}, {"policy": "x", "interest": -1}):
        with pytest.raises(IntegrityError), transaction.atomic():
            LateCharge.objects.filter(pk=made.pk).update(**wrong)
    with pytest.raises(IntegrityError), transaction.atomic():
        BaseRate.objects.create(percent=31, since=today())
