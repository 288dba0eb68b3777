"""The pages of credit notes, returns, deposits, pro formas and export evidence."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from orders.domain.payments import post_payment
from orders.models import CreditNote, ExportEvidence, Invoice, Order, ProForma, Return
from tests.every_credit_page import make_exported
from tests.factories import make_candle, make_order, make_person, make_van_days
from tests.factories.sent import make_sent
from tests.orders.invoices import issue, make_invoiced_shop, sell

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    make_van_days()
    return make_invoiced_shop()


@pytest.fixture
def invoice(shop):
    """24 and 12 pairs at 4.75 less 5 %, carriage 8.50: to pay 205.14."""
    today = timezone.localdate()
    return issue(shop, sell(shop, 24, 12, left_on=today - timedelta(days=1))[1], issued_on=today)


def credit_form(client, invoice, **typed):
    """What the page's form would send, with this typed into it."""
    form = client.get(reverse("credit_new", args=[invoice.pk])).context["form"]
    head = {"why": "returned", "reason": "Refused at the door", "set_off_on": f"{timezone.localdate()}"}
    return {"submission": form["submission"].value(), **head, **typed}


def test_figures_are_shown_first_then_what_was_seen_is_issued(client_for, invoice):
    client, url = client_for("bookkeeper"), reverse("credit_new", args=[invoice.pk])
    line = invoice.lines.get(position=1)
    sent = credit_form(client, invoice, **{f"pairs_{line.pk}": "10"})
    answer = client.post(url, sent)
    assert answer.status_code == 200
    assert "54.16 GBP would come off INV-1001" in answer.content.decode()
    assert not CreditNote.objects.exists()
    sent |= {"seen": answer.context["seen"], "issue": "1"}
    done = client.post(url, sent, follow=True)
    note = CreditNote.objects.get()
    assert done.redirect_chain[0][0] == note.get_absolute_url()
    assert "CN-1001 takes 54.16 GBP off INV-1001" in done.content.decode()
    client.post(url, sent)
    assert CreditNote.objects.count() == 1
    page = client.get(invoice.get_absolute_url()).content.decode()
    assert "pays 205.14 less 54.16 credited" in page
    ledger = client.get(reverse("ledger"))
    assert "CN-1001" in ledger.content.decode()
    assert ledger.context["sums"]["credited"] == "54.16"


def test_figures_that_changed_are_shown_again(client_for, invoice):
    client, url = client_for("bookkeeper"), reverse("credit_new", args=[invoice.pk])
    sent = credit_form(client, invoice, whole="on", issue="1", seen="another")
    answer = client.post(url, sent)
    assert answer.status_code == 422
    assert "changed while you looked" in answer.content.decode()
    assert not CreditNote.objects.exists()


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({}, "Nothing would be credited"),
        ({"reason": ""}, "This field is required"),
        ({"pairs": "25"}, "Line 1 has 24 pairs left"),
        ({"pairs": "-1"}, "greater than or equal to 0"),
        ({"pairs": "1000000000"}, "less than or equal to 100000"),
        ({"pairs": "many"}, "Enter a whole number"),
        ({"amount": "0.001"}, "no more than 2 decimal places"),
        ({"amount": "1e9"}, "less than or equal to 99999999.99"),
        ({"pairs": "1", "carriage": "9"}, "8.50 is left to credit"),
        ({"pairs": "1", "why": "x"}, "not one of the available choices"),
        ({"pairs": "1", "set_off_on": "31.02.2026"}, "Enter a valid date"),
        ({"pairs": "1", "reason": "\0"}, "Null characters"),
        ({"pairs": "1", "submission": "x"}, "valid UUID"),
        ({"pairs": "1", "anew": "on", "whole": ""}, ""),
    ],
)
def test_bad_input_is_refused_beside_its_field_and_kept(client_for, invoice, typed, says):
    client, line = client_for("bookkeeper"), invoice.lines.get(position=1)
    named = {f"{name}_{line.pk}" if name in ("pairs", "amount") else name: value for name, value in typed.items()}
    answer = client.post(reverse("credit_new", args=[invoice.pk]), credit_form(client, invoice, **named))
    assert answer.status_code == (422 if says else 200)
    assert says in answer.content.decode()
    assert not CreditNote.objects.exists()


def test_taken_back_whole_it_leads_to_the_new_invoice(client_for, shop, invoice):
    client, url = client_for("bookkeeper"), reverse("credit_new", args=[invoice.pk])
    sent = credit_form(client, invoice, anew="on", why="mistake")
    sent |= {"seen": client.post(url, sent).context["seen"], "issue": "1"}
    answer = client.post(url, sent)
    assert answer["Location"] == reverse("invoice_new", args=[shop.pk])
    assert "205.14" in client.get(answer["Location"]).content.decode()


@pytest.mark.parametrize("role", ["packer", "dipper"])
def test_money_papers_belong_to_the_bookkeeper(client_for, invoice, role):
    order = invoice.deliveries.get().delivery.order
    addresses = [
        ("credit_new", invoice.pk),
        ("take_back", invoice.deliveries.get().delivery_id),
        ("pro_forma", order.number),
        ("deposit_new", order.number),
        ("paper", invoice.paper_id),
    ]
    for name, arg in addresses:
        client = client_for(role)
        assert client.get(reverse(name, args=[arg])).status_code == 403
        assert client.post(reverse(name, args=[arg])).status_code in (403, 405)


def test_the_credit_page_asks_the_same_with_one_line_and_with_thirty(client_for, shop, django_assert_num_queries):
    client = client_for("bookkeeper")
    for rows in (1, 30):
        made = issue(shop, make_sent(make_order(shop, [(make_candle(), 2) for _ in range(rows)])))
        with django_assert_num_queries(8):
            client.get(reverse("credit_new", args=[made.pk]))


def test_what_came_back_is_taken_in_one_form(client_for, invoice):
    delivery = invoice.deliveries.get().delivery
    client, url = client_for("bookkeeper"), reverse("take_back", args=[delivery.pk])
    form = client.get(url).context["form"]
    first, second = delivery.lines.order_by("pk")
    sent = {
        "submission": form["submission"].value(), "came_on": f"{timezone.localdate()}", "reason": "Broken in the post",
        f"firsts_{first.pk}": "20", f"seconds_{first.pk}": "2", f"fault_{first.pk}": "dented",
        f"broken_{second.pk}": "12", "again": "on",
    }  # fmt: skip
    answer = client.post(url, sent, follow=True)
    made = Return.objects.get()
    assert answer.redirect_chain[0][0] == made.note.get_absolute_url()
    page = answer.content.decode()
    assert "CN-1001" in page
    assert f"order {made.again.number}" in page
    client.post(url, sent)
    assert (Return.objects.count(), Order.objects.count()) == (1, 2)


def test_a_refused_return_keeps_what_was_typed(client_for, invoice):
    delivery = invoice.deliveries.get().delivery
    client, url, line = client_for("bookkeeper"), reverse("take_back", args=[delivery.pk]), delivery.lines.first()
    sent = {
        "submission": client.get(url).context["form"]["submission"].value(), "came_on": f"{timezone.localdate()}",
        "reason": "Dropped", f"seconds_{line.pk}": "3",
    }  # fmt: skip
    answer = client.post(url, sent)
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "Say what is wrong with them" in page
    assert 'value="3"' in page
    assert 'value="Dropped"' in page
    assert not Return.objects.exists()


def test_what_has_not_left_or_is_not_invoiced_says_so(client_for, shop):
    _, delivery = sell(shop, 6)
    client, url = client_for("bookkeeper"), reverse("take_back", args=[delivery.pk])
    assert "is not invoiced yet" in client.get(url).content.decode()
    type(delivery).objects.filter(pk=delivery.pk).update(state="packed")
    assert "has not left" in client.get(url).content.decode()


def test_a_pro_forma_is_issued_once_however_often_it_is_sent(client_for, shop):
    order = make_order(shop, [(make_candle(trade_price=Decimal("4.75")), 24)])
    client, url = client_for("bookkeeper"), reverse("pro_forma", args=[order.number])
    page = client.get(url)
    assert "would ask" in page.content.decode()
    assert not ProForma.objects.exists()
    for _ in range(2):
        assert (
            client.post(url, {"submission": f"{page.context['submission']}"})["Location"] == order.get_absolute_url()
        )
    assert ProForma.objects.count() == 1
    papers = client.get(reverse("papers_of", args=[order.number])).content.decode()
    assert "PF-1001" in papers
    make_sent(order)
    assert "nothing that is still to be sent" in client.get(url).content.decode()
    assert client.post(url, {"submission": "no key"}).status_code == 422


def test_a_deposit_is_shown_first_then_issued(client_for, shop):
    order = make_order(shop, [(make_candle(trade_price=Decimal("4.75")), 24)], placed_on=timezone.localdate())
    client, url = client_for("bookkeeper"), reverse("deposit_new", args=[order.number])
    typed = {"received": "£60.00", "received_on": f"{timezone.localdate()}"}
    answer = client.post(url, typed)
    assert "10.00 is VAT" in answer.content.decode()
    sent = {**typed, "seen": answer.context["seen"], "issue": "1"}
    made = client.post(url, sent)
    invoice = Invoice.objects.get()
    assert made["Location"] == invoice.get_absolute_url()
    assert client.post(url, sent).status_code == 422
    page = client.get(invoice.get_absolute_url()).content.decode()
    assert "paid 60.00 before the goods left" in page
    assert "The money is not entered yet: until it is, 60.00 stands in the ledger as owed." in page
    paid = {"shop": shop, "amount": Decimal(60), "on": timezone.localdate(), "how": "bank"}
    post_payment(**paid, parts={f"i{invoice.pk}": Decimal(60)}, by=client.person)
    assert "not entered yet" not in client.get(invoice.get_absolute_url()).content.decode()
    for wrong in ({"received": "0"}, {"received": "-1"}, {"received": "1e12"}, {"received_on": "2999-01-01"}, {}):
        assert client.post(url, {**typed, **wrong} if wrong else {}).status_code == 422
    assert Invoice.objects.count() == 1


def test_evidence_is_flagged_put_down_and_mended(client_for, shop):
    invoice = make_exported(make_candle(), make_person())
    client, url = client_for("bookkeeper"), reverse("export_evidence", args=[invoice.pk])
    assert "Exports without evidence" in client.get(reverse("ledger")).content.decode()
    assert "Exports without evidence" not in client.get(reverse("today")).content.decode()
    today = timezone.localdate()
    ExportEvidence.objects.update(due_by=today - timedelta(days=1))
    assert "VAT is due on it" in client.get(reverse("today")).content.decode()
    assert "VAT is due on it" in client.get(url).content.decode()
    for wrong in ({}, {"note": "Bill"}, {"received_on": "2999-01-01", "note": "Bill"},
                  {"received_on": f"{today - timedelta(days=1)}", "note": "Bill"},
                  {"received_on": f"{today}", "note": "x" * 201}):  # fmt: skip
        assert client.post(url, wrong).status_code == 422
    for note in ("Carrier's note 77", "Carrier's note 78"):
        assert client.post(url, {"received_on": f"{today}", "note": note})["Location"] == invoice.get_absolute_url()
    assert ExportEvidence.objects.get().note == "Carrier's note 78"
    assert "Exports without evidence" not in client.get(reverse("ledger")).content.decode()
    home = issue(shop, sell(shop, 5)[1])
    assert client.get(reverse("export_evidence", args=[home.pk])).status_code == 404


def test_today_names_ten_exports_and_the_ledger_pages_them(client_for, shop, monkeypatch):
    make_exported(make_candle(), make_person())
    ExportEvidence.objects.update(due_by=timezone.localdate() - timedelta(days=1))
    rows = [*ExportEvidence.objects.select_related("invoice__shop", "invoice__paper")] * 12
    monkeypatch.setattr("orders.views.today.pressing_evidence", lambda day: rows)
    page = client_for("bookkeeper").get(reverse("today")).content.decode()
    assert page.count("VAT is due on it") == 10
    assert "and 2 more in the" in page
    make_exported(make_candle(), make_person())
    monkeypatch.setattr("orders.views.invoices.NOTES_PER_PAGE", 1)
    assert "evidence-page=2" in client_for("bookkeeper").get(reverse("ledger")).content.decode()
