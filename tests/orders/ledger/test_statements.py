"""Statements and reminders: frozen papers that re-add, issued as they were seen, sent by letter where wished."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from orders.domain.papers import issue_paper, paper_pdf
from orders.domain.payments import post_payment
from orders.domain.statements import addresses_of, draft_reminder, draft_statement, issue_reminder, seen_of
from orders.models import Contact, Letter, Paper
from orders.queries.debts import debts
from tests.factories import make_candle, make_order, make_person, make_shop, make_workshop
from tests.orders.ledger.books import key, make_invoice
from tests.orders.test_invoice_paper import pages_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    make_workshop()
    shop = make_shop(name="The Lamp Room")
    Contact.objects.create(shop=shop, name="Bo", does="buying", email="bo@lamproom.example")
    Contact.objects.create(shop=shop, name="Ada", does="Accounts", email="ada@lamproom.example")
    return shop


def today(back=0):
    return timezone.localdate() - timedelta(days=back)


def pay(shop, amount, invoice=None, back=0):
    parts = {key(invoice): Decimal(amount)} if invoice else {}
    return post_payment(
        shop=shop, amount=Decimal(amount), on=today(back), how="bank", parts=parts, by=make_person("bookkeeper")
    )


def amount(text) -> Decimal:
    return Decimal(text.replace(",", "")) if text else Decimal(0)


def send(client, shop, name, **fields):
    url = reverse(name, args=[shop.pk])
    page = client.get(url)
    form = page.context["form"].initial
    return client.post(url, {"seen": form["seen"], "currency": form["currency"], "to": "", **fields})


def test_nobody_is_reminded_of_a_deposit_that_waits_to_be_posted(shop):
    """Its invoice says that the money has come; it stands on the account until it is posted."""
    order = make_order(shop, [(make_candle(), 12)])
    make_invoice(shop, "60.00", due=-3, kind="deposit", order=order)
    (debt,) = debts(today(), [shop.pk])
    assert (debt.owed, debt.oldest) == (Decimal("60.00"), None)
    make_invoice(shop, "90.00", due=-9)
    (debt,) = debts(today(), [shop.pk])
    assert debt.oldest == today(9)
    content = draft_reminder(shop=shop, currency="GBP", today=today())
    assert [row["open"] for row in content["open"]] == ["90.00"]


def test_a_statement_re_adds_from_brought_forward_to_balance(shop):
    old = make_invoice(shop, "1000.00", due=-170)
    pay(shop, "400.00", old, back=120)
    make_invoice(shop, "250.50", due=-10)
    pay(shop, "30.00")
    content = draft_statement(shop=shop, currency="GBP", today=today())
    assert content["forward"] == "600.00"
    balance = amount(content["forward"])
    for row in content["entries"]:
        balance += amount(row["debit"]) - amount(row["credit"])
        assert amount(row["balance"]) == balance
    assert amount(content["balance"]) == balance == Decimal("820.50")
    assert sum(amount(row["open"]) for row in content["open"]) - amount(content["on_account"]) == balance
    assert sum(amount(age["amount"]) for age in content["ages"]) == Decimal("850.50")
    assert content["answer"] == "Your account stands at £820.50, all of it past its day."


def test_the_statement_is_made_once_and_read_back(client_for, shop, django_capture_on_commit_callbacks):
    make_invoice(shop, "250.50", due=20)
    client = client_for("bookkeeper")
    with django_capture_on_commit_callbacks(execute=True):
        answer = send(client, shop, "statement_new", to=addresses_of(shop))
    assert answer.url == reverse("shop_ledger", args=[shop.pk])
    paper = Paper.objects.get(kind="statement")
    assert paper.number == "ST-1001"
    [page] = pages_of(paper_pdf(paper))
    for said in ("Statement ST-1001", "Your account stands at £250.50, none of it late.", "INV-1001", "due in 20 days",
                 "The Lamp Room", "sort code 00-00-00", "A statement is no VAT invoice."):  # fmt: skip
        assert said in page
    [letter] = mail.outbox
    assert (letter.to, letter.subject[:13]) == (["ada@lamproom.example"], "Statement of ")
    assert [name for name, _, _ in letter.attachments] == ["ST-1001.pdf"]
    send(client, shop, "statement_new")
    assert Paper.objects.filter(kind="statement").count() == 1


def test_a_settled_account_says_so(shop):
    content = draft_statement(shop=shop, currency="GBP", today=today())
    assert content["answer"] == "Your account is settled: nothing is open."
    pay(shop, "30.00")
    content = draft_statement(shop=shop, currency="GBP", today=today())
    assert content["answer"] == "Your account stands at £30.00 in your favour."


def test_a_reminder_lists_what_is_late_and_grows_firmer(client_for, shop):
    late, soon = make_invoice(shop, "120.00", due=-20), make_invoice(shop, "80.00", due=5)
    client = client_for("bookkeeper")
    send(client, shop, "reminder_new")
    first = Paper.objects.get(kind="reminder")
    [page] = pages_of(paper_pdf(first))
    for said in ("Reminder RM-1001", str(late), "20 days late", "To pay now £120.00", "Perhaps it slipped past you"):
        assert said in page
    assert str(soon) not in page
    assert "8 %" not in page
    again = client.post(reverse("reminder_new", args=[shop.pk]), {"seen": "x", "currency": "GBP"})
    assert again.status_code == 422
    assert "was reminded today already" in again.content.decode()
    assert Paper.objects.filter(kind="reminder").count() == 1


def test_the_second_reminder_knows_of_the_first(shop):
    make_invoice(shop, "120.00", due=-20)
    content = draft_reminder(shop=shop, currency="GBP", today=today(8))
    paper = issue_reminder_on(shop, content, today(8))
    second = draft_reminder(shop=shop, currency="GBP", today=today())
    assert second["title"] == "Second reminder"
    assert "We wrote to you on" in second["words"][1]
    assert "have added nothing" in " ".join(second["close"].split())
    assert paper.content["title"] == "Reminder"


def issue_reminder_on(shop, content, day):
    return issue_paper(
        kind="reminder", shop=shop, content=content, issued_on=day, by=make_person("bookkeeper"), series="reminder"
    )


def test_nobody_is_reminded_of_nothing(client_for, shop):
    make_invoice(shop, "80.00", due=5)
    page = client_for("bookkeeper").get(reverse("reminder_new", args=[shop.pk]))
    assert "Nothing of The Lamp Room&#x27;s account is late" in page.content.decode()
    late = make_invoice(shop, "120.00", due=-20)
    pay(shop, "120.00")
    with pytest.raises(ValidationError, match="nothing to remind them of"):
        draft_reminder(shop=shop, currency="GBP", today=today())
    assert late


def test_a_ledger_that_changed_issues_nothing_and_keeps_what_was_typed(client_for, shop):
    make_invoice(shop, "80.00", due=-5)
    client, url = client_for("bookkeeper"), reverse("statement_new", args=[shop.pk])
    seen = client.get(url).context["form"].initial["seen"]
    make_invoice(shop, "10.00")
    answer = client.post(url, {"seen": seen, "currency": "GBP", "to": "ada@lamproom.example"})
    assert answer.status_code == 422
    assert "ledger changed while you looked" in answer.content.decode()
    assert "ada@lamproom.example" in answer.content.decode()
    assert not Paper.objects.filter(kind="statement").exists()


@pytest.mark.parametrize(
    "fields",
    [
        {"to": "nobody"},
        {"to": "a@b.example\nBcc: x@y.example"},
        {"currency": "XXX"},
        {"seen": "y" * 17},
        {"to": "\x00"},
    ],
)
def test_bad_input_issues_nothing(client_for, shop, fields):
    make_invoice(shop, "80.00", due=-5)
    for name in ("statement_new", "reminder_new"):
        assert send(client_for("bookkeeper"), shop, name, **fields).status_code == 422
    assert not Paper.objects.filter(kind__in=("statement", "reminder")).exists()
    assert not Letter.objects.exists()


def test_without_a_workshop_or_an_address_it_says_what_is_missing():
    bare = make_shop(address=False)
    with pytest.raises(ValidationError, match="no workshop yet"):
        draft_statement(shop=bare, currency="GBP", today=today())
    make_workshop()
    with pytest.raises(ValidationError, match="no address yet"):
        draft_statement(shop=bare, currency="GBP", today=today())


def test_odd_signs_go_into_the_paper_as_they_are(shop):
    shop.name = "<b>Ødd & “Sons”</b> ï ß"
    shop.save()
    make_invoice(shop, "80.00", due=-5)
    content = draft_reminder(shop=shop, currency="GBP", today=today())
    paper = issue_reminder(shop=shop, currency="GBP", seen=seen_of(content), by=make_person())
    assert "<b>Ødd & “Sons”</b>" in pages_of(paper_pdf(paper))[0]
