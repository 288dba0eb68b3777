from datetime import date
from decimal import Decimal

import pytest

from inventory.models import Workshop
from orders.audit import invoices as audit
from orders.models import VatRate
from tests.factories import make_address, make_candle, make_order, make_shop, make_workshop
from tests.factories.sent import make_sent
from tests.orders.invoices import LEFT, TODAY, issue, make_invoiced_shop, sell

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    return make_invoiced_shop()


def test_an_invoice_has_every_figure_and_re_adds(shop):
    _order, delivery = sell(shop, 24, 12)
    invoice = issue(shop, delivery)
    # 24 x 4.75 less 5 % = 108.30; 12 x 4.75 less 5 % = 54.15; carriage 8.50; VAT 20 % of 170.95 = 34.19
    assert [str(line.net) for line in invoice.lines.all()] == ["108.30", "54.15"]
    figures = (invoice.goods, invoice.carriage, invoice.net, invoice.vat, invoice.gross)
    assert [str(figure) for figure in figures] == ["162.45", "8.50", "170.95", "34.19", "205.14"]
    assert (invoice.tax_point, invoice.due_on) == (TODAY, date(2026, 12, 25))
    assert invoice.paper.number == "INV-1001"
    assert list(audit.breaches()) == []


def test_the_paper_says_all_the_law_asks_for(shop):
    shop.vat_number = "GB999999973"
    shop.save()
    make_address(shop, kind="invoice", label="Accounts", lines="PO Box 1\nThe Old Mill")
    _order, delivery = sell(shop, 24, reference="XM-0713")
    content = issue(shop, delivery).paper.content
    assert (content["title"], content["number"], content["currency"]) == ("VAT invoice", "INV-1001", "GBP")
    assert (content["issued_on"], content["tax_point"]) == ("25 November 2026", "25 November 2026")
    assert content["workshop"]["vat_number"] == "GB999999973"
    assert content["workshop"]["address"] == ["2 Tallow Lane", "Wexcombe", "ZZ1 1AA"]
    assert content["shop"]["address"][:2] == ["PO Box 1", "The Old Mill"]
    assert content["references"] == ["XM-0713"]
    [sent] = content["deliveries"]
    assert (sent["number"], sent["reference"], sent["left_on"]) == ("DN-1001", "XM-0713", "20 November 2026")
    [line] = sent["lines"]
    assert (line["pairs"], line["unit"], line["price"], line["discount"]) == (24, "PR", "4.75", "5 %")
    assert (line["rate"], line["net"]) == ("20 %", "108.30")
    assert content["totals"]["vat"] == "23.36"
    assert content["terms"] == "Please pay £140.16 by 25 December 2026, 30 days from the date of this invoice."


def test_pairs_of_several_lots_are_one_line(shop):
    order, _ = make_order(shop, [(make_candle(), 24)]), None
    invoice = issue(shop, make_sent(order, lots=3))
    assert [line.pairs for line in invoice.lines.all()] == [24]


def test_several_deliveries_of_two_orders_on_one_invoice(shop):
    first, one = sell(shop, 10, 10, sent=(10, 0))
    two = make_sent(first, 0, 10, left_on=date(2026, 11, 23))
    _second, three = sell(shop, 100)
    invoice = issue(shop, one, two, three)
    assert [row.delivery for row in invoice.deliveries.order_by("pk")] == [one, three, two]
    # The second order comes to 451.25 and goes free; the first to 90.25.
    assert invoice.carriage == Decimal("8.50")
    assert [part["amount"] for part in invoice.paper.content["carriage"]] == ["8.50", "0.00"]
    assert list(audit.breaches()) == []


def test_carriage_is_judged_by_the_whole_order_and_charged_once(shop):
    order, first = sell(shop, 10, 10, sent=(10, 0))
    second = make_sent(order)
    assert issue(shop, second).carriage == Decimal("8.50")
    later = issue(shop, first)
    assert later.carriage == 0
    assert "settled with its first delivery, on INV-1001" in later.paper.content["carriage"][0]["why"]


def test_a_large_order_in_small_parts_goes_free(shop):
    _order, part = sell(shop, 10, 100, sent=(10, 0))
    invoice = issue(shop, part)
    assert invoice.carriage == 0
    assert "free from goods of 250.00" in invoice.paper.content["carriage"][0]["why"]


def test_vat_is_taken_from_the_rate_in_force_at_the_tax_point(shop):
    VatRate.objects.create(vat_class="standard", category="S", percent=Decimal("17.5"), since=date(2026, 11, 24))
    _, delivery = sell(shop, 24)
    assert issue(shop, delivery).vat_rows.get().percent == Decimal("17.50")
    _, late = sell(shop, 24, left_on=date(2026, 11, 1))
    invoice = issue(shop, late)
    assert (invoice.tax_point, invoice.vat_rows.get().percent) == (date(2026, 11, 1), Decimal("20.00"))


def test_rates_stand_apart_and_share_the_carriage(shop):
    order = make_order(
        shop,
        [
            (make_candle(trade_price=Decimal("10")), 12),
            (make_candle(trade_price=Decimal("10"), vat_class="reduced"), 6),
            (make_candle(trade_price=Decimal("10"), vat_class="zero"), 2),
        ],
    )
    invoice = issue(shop, make_sent(order))
    rows = [(row.category, str(row.percent), str(row.taxable), str(row.vat)) for row in invoice.vat_rows.all()]
    # Goods 114 + 57 + 19 = 190; carriage 8.50 shared 5.10 + 2.55 + 0.85.
    assert rows == [
        ("S", "20.00", "119.10", "23.82"),
        ("S", "5.00", "59.55", "2.98"),
        ("Z", "0.00", "19.85", "0.00"),
    ]
    assert "No VAT is charged on what is marked zero rated." in invoice.paper.content["notes"]
    assert list(audit.breaches()) == []


def test_a_workshop_without_a_vat_number_charges_none(shop):
    Workshop.objects.update(vat_number="")
    _, delivery = sell(shop, 24)
    invoice = issue(shop, delivery)
    assert (invoice.vat, invoice.gross, invoice.tax_point) == (0, Decimal("116.80"), LEFT)
    assert [(row.category, row.vat) for row in invoice.vat_rows.all()] == [("O", 0)]
    content = invoice.paper.content
    assert content["title"] == "Invoice"
    assert "not registered for VAT" in content["notes"][0]
    assert content["deliveries"][0]["lines"][0]["rate"] == "no VAT"


def test_nothing_but_zero_rated_goods_make_no_vat_invoice(shop):
    _, delivery = sell(shop, 24, vat_class="zero")
    invoice = issue(shop, delivery)
    assert (invoice.paper.content["title"], invoice.tax_point) == ("Invoice", LEFT)


def test_vat_rounds_down_where_the_workshop_does(shop):
    Workshop.objects.update(vat_rounding="down")
    order = make_order(make_shop(), [(make_candle(trade_price=Decimal("704.88")), 1)])
    invoice = issue(order.shop, make_sent(order))
    assert (invoice.vat, invoice.gross, invoice.vat_rounding) == (Decimal("140.97"), Decimal("845.85"), "down")
    assert "rounded down to the whole penny" in invoice.paper.content["notes"][0]


def test_seconds_are_marked(shop):
    _, delivery = sell(shop, 24, grade="seconds")
    content = issue(shop, delivery).paper.content
    assert content["deliveries"][0]["lines"][0]["seconds"] is True
    assert "Seconds are sold as such" in content["notes"][-1]


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"terms_days": 0}, "on receipt: it is due on 25 November 2026"),
        ({"terms_days": 1}, "by 26 November 2026, 1 day from"),
        ({"pro_forma_first": True}, "before we send: £116.80 is due now, 25 November 2026"),
    ],
)
def test_the_terms_sentence_names_the_due_day(fields, says):
    make_workshop(vat_number="")
    shop = make_shop(discount=Decimal("5"), carriage=Decimal("8.50"), **fields)
    _, delivery = sell(shop, 24)
    assert says in issue(shop, delivery).paper.content["terms"]
