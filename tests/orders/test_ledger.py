import csv
import io
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from orders.domain.invoicing import issue_invoice
from orders.domain.papers import paper_pdf
from orders.domain.payments import post_payment
from orders.models import Invoice
from tests.factories import make_candle, make_order, make_person, make_shop, make_workshop
from tests.factories.sent import make_sent

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    make_workshop()
    return make_shop(name="The Lamp Room", town="Wexcombe", carriage=Decimal("8.50"))


def left(days_ago):
    return timezone.localdate() - timedelta(days=days_ago)


def wait(shop, days_ago=1, pairs=24, **fields):
    order = make_order(shop, [(make_candle(trade_price=Decimal("4.75")), pairs)], **fields)
    return make_sent(order, left_on=left(days_ago))


def issue(shop, *deliveries):
    return issue_invoice(
        shop=shop,
        delivery_ids=[one.pk for one in deliveries],
        issued_on=timezone.localdate(),
        by=make_person("bookkeeper"),
    )


def new(shop):
    return reverse("invoice_new", args=[shop.pk])


def chosen(client, shop, *deliveries):
    """What the preview's form would send."""
    keys = [one.pk for one in deliveries]
    preview = client.get(new(shop), {"delivery": keys})
    return {"delivery": keys, "seen": preview.context["seen"]}


def test_the_ledger_says_what_is_still_to_be_invoiced(client_for, shop):
    client, url = client_for("bookkeeper"), reverse("ledger")
    assert "Everything that has left is invoiced." in client.get(url).content.decode()
    wait(shop)
    page = client.get(url).content.decode()
    assert "1 delivery to 1 shop, goods of 114.00, waits for an invoice." in page
    assert new(shop) in page
    wait(make_shop(name="Fern & Flint"), days_ago=40)
    page = client.get(url).content.decode()
    assert "2 deliveries to 2 shops" in page
    assert "Fern &amp; Flint should have had its invoice by" in page


def test_the_ledger_lists_sums_and_narrows(client_for, shop):
    issue(shop, wait(shop))
    other = make_shop(name="Fern & Flint")
    issue(other, wait(other, pairs=100))
    client, url = client_for("bookkeeper"), reverse("ledger")
    context = client.get(url).context
    assert [row.record.paper.number for row in context["table"].rows] == ["INV-1002", "INV-1001"]
    assert context["sums"] == {"net": "597.50", "vat": "119.50", "gross": "717.00", "credited": "0.00"}
    context = client.get(url, {"shop": shop.pk}).context
    assert [row.record.shop for row in context["table"].rows] == [shop]
    tomorrow = timezone.localdate() + timedelta(days=1)
    page = client.get(url, {"since": tomorrow.isoformat()}).content.decode()
    assert "none that fits" in page
    assert "0 invoices shown" in page
    assert client.get(url, {"until": tomorrow.isoformat(), "sort": "shop"}).context["found"] == "2 invoices"


@pytest.mark.parametrize(
    "query", ["shop=x", "shop=99999999999999999999", "since=%00", "since=31.02.2026", "page=0", "sort=nonsense"]
)
def test_the_ledger_bears_any_query(client_for, shop, query):
    issue(shop, wait(shop))
    for name in ("ledger", "ledger_csv"):
        assert client_for("bookkeeper").get(reverse(name) + "?" + query).status_code == 200


def test_the_csv_holds_every_row_with_bare_figures(client_for, shop):
    shop.name = "=cmd()"
    shop.save()
    for _ in range(2):
        issue(shop, wait(shop, pairs=1000))
    answer = client_for("bookkeeper").get(reverse("ledger_csv"))
    assert answer["Content-Type"].startswith("text/csv")
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert rows[0] == [
        "Invoice",
        "Shop",
        "Issued",
        "Tax point",
        "Due",
        "Without VAT",
        "VAT",
        "To pay",
        "Credited",
        "Currency",
    ]
    today = timezone.localdate()
    due = today + timedelta(days=30)
    assert rows[1] == [
        "INV-1002", "'=cmd(), Wexcombe", f"{today}", f"{today}", f"{due}", "4758.50", "951.70", "5710.20", "0.00",
        "GBP",
    ]  # fmt: skip
    assert len(rows) == 3


def test_the_ledger_asks_the_same_with_one_and_with_thirty(client_for, shop, django_assert_num_queries):
    client = client_for("bookkeeper")
    for rows in (1, 29):
        for _ in range(rows):
            issue(shop, wait(shop))
            wait(make_shop(), days_ago=2)
        with django_assert_num_queries(10):
            client.get(reverse("ledger"))


def test_an_invoices_page_asks_the_same_with_one_and_with_thirty(client_for, shop, django_assert_num_queries):
    client = client_for("bookkeeper")
    many = make_order(shop, [(make_candle(), 2) for _ in range(30)])
    for order in (make_order(shop), many):
        made = issue(shop, make_sent(order))
        with django_assert_num_queries(8):
            client.get(made.get_absolute_url())


def test_the_page_of_an_invoice_tells_how_each_figure_came_about(client_for, shop):
    delivery = wait(shop, reference="XM-0713", grade="seconds")
    made = issue(shop, delivery)
    client = client_for("bookkeeper")
    page = client.get(made.get_absolute_url()).content.decode()
    for said in (
        "INV-1001: The Lamp Room pays 147.00 by",
        "charged once, with its first delivery",
        "its own date is the tax point",
        "(seconds)",
        "XM-0713",
        delivery.get_absolute_url(),
        "made when it is first opened",
        "INV-1001 issued: 147.00 GBP for DN-1001",
    ):
        assert said in page
    paper_pdf(made.paper)
    assert made.paper.file.sha256 in client.get(made.get_absolute_url()).content.decode()
    assert client.get(reverse("invoice", args=[10**15])).status_code == 404


def test_the_page_of_an_invoice_says_what_is_paid_of_it(client_for, shop):
    made, client = issue(shop, wait(shop)), client_for("bookkeeper")
    for amount, said in (
        ("100.00", "The Lamp Room has paid 100.00 of 147.00; 47.00 is to be paid by"),
        ("47.00", "INV-1001: The Lamp Room has paid 147.00; nothing is open."),
    ):
        parts = {f"i{made.pk}": Decimal(amount)}
        post_payment(shop=shop, amount=Decimal(amount), on=made.tax_point, how="bank", parts=parts, by=client.person)
        assert said in client.get(made.get_absolute_url()).content.decode()


def test_what_may_stand_together_is_ticked_first(client_for, shop):
    old, young = wait(shop, days_ago=20), wait(shop)
    client = client_for("bookkeeper")
    first = client.get(new(shop))
    assert first.context["form"]["delivery"].value() == [old.pk]
    assert first.context["draft"].tax_point.day == left(20)
    both = client.get(new(shop), {"delivery": [old.pk, young.pk]})
    assert "an invoice carries one tax point" in both.content.decode()
    assert "seen" not in both.context


def test_the_preview_shows_the_figures_and_posting_issues_them(client_for, shop):
    one, two = wait(shop), wait(shop)
    client = client_for("bookkeeper")
    page = client.get(new(shop)).content.decode()
    assert "The Lamp Room pays 294.00 for 2 deliveries by" in page
    answer = client.post(new(shop), chosen(client, shop, one), follow=True)
    made = Invoice.objects.get()
    assert answer.redirect_chain[0][0] == made.get_absolute_url()
    assert "INV-1001 is issued: 147.00" in answer.content.decode()
    assert [row.delivery for row in made.deliveries.all()] == [one]
    assert client.get(new(shop)).context["form"]["delivery"].value() == [two.pk]


def test_issued_twice_is_issued_once(client_for, shop):
    one, two = wait(shop), wait(shop)
    client = client_for("bookkeeper")
    sent = chosen(client, shop, one)
    client.post(new(shop), sent)
    again = client.post(new(shop), sent, follow=True)
    assert "issued for exactly these deliveries before" in again.content.decode()
    more = client.post(new(shop), {**sent, "delivery": [one.pk, two.pk]})
    assert more.status_code == 422
    assert "Invoiced already: DN-1001 on INV-1001" in more.content.decode()
    assert Invoice.objects.count() == 1


def test_figures_that_changed_are_shown_again_before_they_are_issued(client_for, shop):
    delivery = wait(shop)
    client = client_for("bookkeeper")
    sent = chosen(client, shop, delivery)
    make_workshop(name="New Name")
    answer = client.post(new(shop), sent)
    assert answer.status_code == 422
    assert "figures changed" in answer.content.decode()
    assert not Invoice.objects.exists()
    assert client.post(new(shop), {**sent, "seen": answer.context["seen"]}).status_code == 302


@pytest.mark.parametrize(
    "sent", [{}, {"delivery": ["x"]}, {"delivery": ["-1"]}, {"delivery": ["9" * 30]}, {"delivery": ["\x00"]},
             {"delivery": ["999999"]}, {"seen": "x" * 17}, {"seen": "\x00"}]
)  # fmt: skip
def test_bad_choices_issue_nothing(client_for, shop, sent):
    delivery = wait(shop)
    client = client_for("bookkeeper")
    fields = sent if "delivery" in sent or not sent else {"delivery": [delivery.pk], **sent}
    assert client.post(new(shop), fields).status_code == 422
    assert client.get(new(shop), fields).status_code == 200
    assert not Invoice.objects.exists()


def test_a_delivery_of_another_shop_is_refused(client_for, shop):
    others = wait(make_shop())
    answer = client_for("bookkeeper").post(new(shop), {"delivery": [others.pk]})
    assert answer.status_code == 422
    assert "not one of The Lamp Room" in answer.content.decode()


@pytest.mark.parametrize("role", ["packer", "dipper"])
def test_the_ledger_is_the_bookkeepers(client_for, shop, role):
    delivery = wait(shop)
    made = issue(shop, wait(shop))
    client = client_for(role)
    for url in (reverse("ledger"), reverse("ledger_csv"), made.get_absolute_url(), new(shop)):
        assert client.get(url).status_code == 403
    assert client.post(new(shop), {"delivery": [delivery.pk]}).status_code == 403
    assert Invoice.objects.count() == 1


def test_reading_pages_refuse_to_be_posted_to(client_for, shop):
    made = issue(shop, wait(shop))
    client = client_for()
    for url in (reverse("ledger"), reverse("ledger_csv"), made.get_absolute_url()):
        assert client.post(url).status_code == 405
    assert client.put(new(shop)).status_code == 405
