"""The ledger's straight way: an order of three rates to its reminder, every figure worked out by hand and looked for.

The sums stand here as literals with their working, and are added up again from what the papers froze. Nothing is
reckoned by the house's own money: only by Decimal, here.
"""

import re
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from time import monotonic

import pytest
from django.core import mail
from django.urls import reverse
from django.utils import timezone

from inventory.models import Lot
from orders.audit import breaches
from orders.domain.setting_aside import set_aside_order
from orders.models import Contact, CreditNote, Delivery, Invoice, Order, Paper
from tests.browser.figures import SUMS, amount, cells, check_facts, check_paper, check_workbook, csv_of, print_of
from tests.factories import make_candle, make_lot, make_person, make_shop
from tests.factories.bench import make_bench, make_left

pytestmark = pytest.mark.django_db(transaction=True)

# 30 x 2.35 less 5 % is 66.975, so 66.98 at 20 %; 30 x 3.15 less 5 % is 89.775, so 89.78 at 5 %: 156.76 of goods.
# 2.5 % of it is 3.919, so 3.92: 1.67 off at 20 %, 2.24 at 5 %, and the penny left over to the larger: 2.25.
# Carriage 9.95: 4.25 and 5.69, and the penny left over to the larger: 5.70.
# Taxed: 66.98 - 1.67 + 4.25 = 69.56 at 20 % is 13.91; 89.78 - 2.25 + 5.70 = 93.23 at 5 % is 4.66.
FIRST = dict(zip(SUMS, ["156.76", "3.92", "9.95", "162.79", "18.57", "181.36"], strict=True))
# 18 x 2.35 less 5 % is 40.185, so 40.19 at 20 %; 12 x 1.99 less 5 % is 22.686, so 22.69 at nought: 62.88 of goods.
# 2.5 % of it is 1.57: 1.00 and 0.56, and the penny to the larger: 1.01. Carriage was charged with the first.
# Taxed: 40.19 - 1.01 = 39.18 at 20 % is 7.84; 22.69 - 0.56 = 22.13 at nought.
SECOND = dict(zip(SUMS, ["62.88", "1.57", "0.00", "61.31", "7.84", "69.15"], strict=True))
# Back come 6 of the 30 at 20 % and 5 of the 30 at 5 %: 6 x 2.35 less 5 % is 13.40, 5 x 3.15 less 5 % is 14.96.
# Their share of the discount: 1.67 x 13.40 / 66.98 = 0.33, 2.25 x 14.96 / 89.78 = 0.37.
# Of the carriage 2.00 by what each rate bore: 0.85 and 1.14, the penny to the larger: 1.15.
# Taxed: 13.40 - 0.33 + 0.85 = 13.92 at 20 % is 2.78; 14.96 - 0.37 + 1.15 = 15.74 at 5 % is 0.79.
CREDIT = dict(zip(SUMS, ["28.36", "0.70", "2.00", "29.66", "3.57", "33.23"], strict=True))
# 181.36 - 33.23 - 100.00 paid = 48.13 is left of the first; with 69.15 of the second they owe 117.28.
LEFT, OWED = "48.13", "117.28"
# VAT 18.57 + 7.84 - 3.57; net 162.79 + 61.31 - 29.66.
BOX_1, BOX_6 = "22.84", "194.44"


@pytest.fixture
def calendar(monkeypatch):
    """`calendar(day)`: from now on it is ten in the morning of that day, and time goes on."""

    def turn_to(day: date) -> None:
        began, at = monotonic(), datetime(day.year, day.month, day.day, 10, tzinfo=UTC)
        monkeypatch.setattr(timezone, "now", lambda: at + timedelta(seconds=monotonic() - began))

    return turn_to


@pytest.fixture
def owner(calendar):
    calendar(date(2026, 10, 5))
    make_bench()
    return make_person("owner", full_name="Edda Marlow")


@pytest.fixture
def on_day(page, sign_in, calendar, owner):
    """`on_day(13)`: the page on that day of October, the owner signed in anew: sessions end after two weeks."""

    def turn_to(day: int):
        calendar(date(2026, 10, day))
        sign_in(page, owner)
        return page

    return turn_to


@pytest.fixture
def candles():
    kinds = (("AA250", "2.35", "standard"), ("BB250", "3.15", "reduced"), ("CC250", "1.99", "zero"))
    return [
        make_candle(code=code, name=f"Taper {code}", trade_price=Decimal(price), vat_class=rate)
        for code, price, rate in kinds
    ]


@pytest.fixture
def shop():
    shop = make_shop(name="Lamp and Larder", town="Wexcombe", discount=5, carriage="9.95", terms_days=14)
    Contact.objects.create(shop=shop, name="Ada", does="Accounts", email="ada@lamplarder.example")
    return shop


def test_from_an_order_of_three_rates_to_its_reminder(on_day, owner, candles, shop):
    order = take_order(on_day(5), shop, candles)
    first = make_first_invoice(on_day(5), order, candles, owner)
    second = make_second_invoice(on_day(13), order, candles, owner)
    note = take_some_back(on_day(15), first, candles)
    post_from_the_bank(on_day(21), shop)
    page = on_day(22)
    page.goto(reverse("shop_ledger", args=[shop.pk]))
    send_statement(page)
    send_reminder(page)
    check_books(page, [first, second, note])
    check_e_invoices(page, first, note)
    assert list(breaches()) == []


def take_order(page, shop, candles) -> Order:
    page.goto(reverse("order_new"))
    page.keyboard.type("larder")
    page.wait_for_selector("#shops form[data-typed=larder]")
    page.keyboard.press("Enter")
    page.wait_for_url("**/entry/")
    for candle, pairs in zip(candles, (48, 30, 12), strict=True):
        page.keyboard.type(candle.code.lower())
        page.keyboard.press("Enter")
        page.keyboard.type(str(pairs))
        page.keyboard.press("Enter")
    page.get_by_text("Discount on this order", exact=True).click()
    page.get_by_label("Discount on this order (%)").fill("2.5")
    page.get_by_label("What the discount is for").fill("early order")
    # 107.16 + 89.78 + 22.69 = 219.63; less 5.49, carriage 9.95; VAT 21.87 on 109.34 and 4.58 on 91.60.
    page.locator("#totals", has_text="250.54").wait_for()
    totals = page.locator("#totals").inner_text()
    for figure in ("Goods 219.63", "less 5.49", "carriage 9.95", "VAT 26.45"):
        assert figure in totals
    page.keyboard.press("Control+Enter")
    order = Order.objects.get()
    page.wait_for_url(f"**/orders/{order.number}/")
    return order


def make_first_invoice(page, order, candles, owner) -> Invoice:
    for candle, pairs in zip(candles, (30, 30), strict=False):
        make_lot(candle, pairs, by=owner, code=f"L-{candle.code}", made_on=date(2026, 9, 7))
    delivery = send(order, owner)
    page.goto(reverse("ledger"))
    page.get_by_role("link", name="Make the invoice of Lamp and Larder").last.click()
    page.get_by_text("Lamp and Larder pays 181.36 for 1 delivery by 19 October 2026.").wait_for()
    assert cells(page, "VAT by rate") == [
        ["20 %", "66.98", "1.67", "4.25", "69.56", "13.91"],
        ["5 %", "89.78", "2.25", "5.70", "93.23", "4.66"],
    ]
    page.keyboard.press("Control+Enter")
    page.get_by_text("INV-1001 is issued: 181.36").wait_for()
    invoice = delivery.invoicings.get().invoice
    check_paper(invoice.paper, FIRST, ["66.98", "89.78"])
    check_facts(page, FIRST)
    return invoice


def make_second_invoice(page, order, candles, owner) -> Invoice:
    for candle, pairs in ((candles[0], 18), (candles[2], 12)):
        make_lot(candle, pairs, by=owner, made_on=date(2026, 9, 8))
    delivery = send(order, owner)
    page.goto(reverse("ledger"))
    page.get_by_role("link", name="Make the invoice of Lamp and Larder").last.click()
    page.get_by_role("button", name="Issue the invoice: 69.15").click()
    page.get_by_text("INV-1002 is issued: 69.15 by 27 October 2026").wait_for()
    assert cells(page, "VAT by rate") == [
        ["20 %", "40.19", "1.01", "0.00", "39.18", "7.84"],
        ["zero rated", "22.69", "0.56", "0.00", "22.13", "0.00"],
    ]
    invoice = delivery.invoicings.get().invoice
    check_paper(invoice.paper, SECOND, ["40.19", "22.69"])
    check_facts(page, SECOND)
    return invoice


def send(order, owner) -> Delivery:
    order.refresh_from_db()
    set_aside_order(order=order, by=owner)
    return make_left(owner, order)


def take_some_back(page, invoice, candles) -> CreditNote:
    page.goto(invoice.get_absolute_url())
    page.get_by_role("link", name="DN-1001").click()
    page.get_by_role("link", name="It came back").click()
    for field, figure in (("firsts", "4"), ("seconds", "1"), ("broken", "1")):
        page.get_by_label(f"{field} of L-AA250", exact=True).fill(figure)
    page.get_by_label("what is wrong with the seconds of L-AA250").fill("bent")
    page.get_by_label("broken of L-BB250").fill("5")
    page.get_by_label("Why, for stock and the credit note").fill("Dropped at the door")
    page.get_by_label("Carriage credited, without VAT").fill("2.00")
    page.keyboard.press("Control+Enter")
    page.get_by_text("It is taken back and credited: CN-1001, 33.23 GBP off INV-1001.").wait_for()
    assert cells(page, "VAT by rate") == [
        ["20 %", "13.40", "0.33", "0.85", "13.92", "2.78"],
        ["5 %", "14.96", "0.37", "1.15", "15.74", "0.79"],
    ]
    note = CreditNote.objects.get()
    check_paper(note.paper, CREDIT, ["13.40", "14.96"])
    check_facts(page, CREDIT)
    stock = {(lot.candle_id, lot.grade): lot.on_hand for lot in Lot.objects.filter(on_hand__gt=0)}
    assert stock == {(candles[0].pk, "firsts"): 4, (candles[0].pk, "seconds"): 1}
    return note


def post_from_the_bank(page, shop) -> None:
    rows = ["When;Says;Ref;In;Out", "20/10/2026;LAMP AND LARDER;INV-1001;100.00;", "20/10/2026;WAX WORKS;;;412.50"]
    rows += ["21/10/2026;INTEREST;;0.42;"]
    page.goto(reverse("bank"))
    sheet = {"name": "october.csv", "mimeType": "text/csv", "buffer": "\n".join(rows).encode()}
    page.get_by_label("The bank's file (CSV)").set_input_files(sheet)
    page.get_by_role("button", name="Take it in").click()
    page.get_by_label("Called").fill("Current account")
    said = {"Day": "When", "Money in": "In", "Money out": "Out", "Text": "Says", "Reference": "Ref"}
    for label, column in said.items():
        page.get_by_label(re.compile(f"^{label}( optional)?$")).select_option(column)
    page.get_by_role("button", name="Keep this and read the lines").click()
    page.get_by_text("2 lines of october.csv wait, 100.42 GBP in all").wait_for()
    page.get_by_text(f"INV-1001 is named; {LEFT} of it stays open.").wait_for()
    assert not shop.payments.exists()
    page.get_by_label("100.00 from Lamp and Larder").check()
    page.keyboard.press("Control+Enter")
    page.get_by_text("1 payment posted, 100.00 in all.").wait_for()
    # 181.36 - 33.23 - 100.00, and 69.15; added up from what each came to.
    page.goto(reverse("shop_ledger", args=[shop.pk]))
    assert Decimal("181.36") - Decimal("33.23") - Decimal("100.00") == Decimal(LEFT)
    assert [row[-1] for row in cells(page, "Open papers")] == [LEFT, "69.15"]
    page.get_by_text(
        f"Lamp and Larder owes {OWED}; {LEFT} of it is late, the oldest since 19 October 2026."
    ).wait_for()
    moved = [row[2:] for row in cells(page, "Everything invoiced, credited and paid")]
    assert moved == [
        ["–", "100.00", OWED],
        ["–", "33.23", "217.28"],
        ["69.15", "–", "250.51"],
        ["181.36", "–", "181.36"],
    ]


def send_statement(page) -> None:
    page.get_by_role("link", name="Statement").click()
    page.get_by_text(f"Statement for Lamp and Larder: £{OWED} on 22 October 2026.").wait_for()
    page.get_by_role("button", name="Make the statement").click()
    page.get_by_text("Statement ST-1001 is made, and a letter to ada@lamplarder.example takes it along.").wait_for()
    paper = Paper.objects.get(kind="statement")
    content, balance = paper.content, amount(paper.content["forward"])
    for entry in content["entries"]:
        balance += amount(entry["debit"]) - amount(entry["credit"])
        assert amount(entry["balance"]) == balance
    assert content["balance"] == OWED
    assert balance == amount(OWED) == sum(amount(row["open"]) for row in content["open"])
    assert [one["amount"] for one in content["ages"]][:2] == ["69.15", LEFT]
    printed = print_of(page, paper)
    for figure in ("181.36", "33.23", "100.00", "69.15", LEFT, f"£{OWED}"):
        assert figure in printed


def send_reminder(page) -> None:
    page.get_by_role("link", name="Reminder").click()
    page.get_by_text(f"Reminder for Lamp and Larder: £{LEFT} is to be paid now.").wait_for()
    page.get_by_role("button", name="Make the reminder").click()
    page.get_by_text("is made, and a letter to ada@lamplarder.example takes it along.").wait_for()
    content = Paper.objects.get(kind="reminder").content
    assert [(row["number"], row["amount"], row["open"]) for row in content["open"]] == [("INV-1001", "181.36", LEFT)]
    assert (content["late"], content["now"]) == (LEFT, LEFT)
    # Statement and reminder, each sent once, after what it tells of was safely written.
    assert [letter.to for letter in mail.outbox] == [["ada@lamplarder.example"]] * 2
    assert f"£{LEFT}" in mail.outbox[1].body


def check_books(page, papers) -> None:
    """Day book and VAT of the month, on the page, as CSV and as workbook: they tie to the papers."""
    days = "?first=2026-10-01&last=2026-10-31"
    page.goto(reverse("day_book") + days)
    figures = [
        ["INV-1001", "162.79", "18.57", "181.36"],
        ["INV-1002", "61.31", "7.84", "69.15"],
        ["CN-1001", "-29.66", "-3.57", "-33.23"],
    ]
    assert [[row[1], *row[5:8]] for row in cells(page, "Day book")] == figures
    assert [row["Paper"] for row in csv_of(page, "Save this as CSV")] == [paper.paper.number for paper in papers]
    page.get_by_role("link", name="VAT on sales").click()
    boxes = page.locator("dl.facts").inner_text()
    assert f"£{BOX_1}" in boxes
    assert f"£{BOX_6}" in boxes
    rows = csv_of(page, "Save this as CSV")
    assert sum(Decimal(row["VAT, GBP"]) for row in rows) == Decimal(BOX_1)
    assert sum(Decimal(row["Without VAT, GBP"]) for row in rows) == Decimal(BOX_6)
    check_workbook(page, rows, papers)


def check_e_invoices(page, invoice, note) -> None:
    for row, sums in ((invoice, FIRST), (note, CREDIT)):
        page.goto(row.get_absolute_url())
        xml = page.request.get(page.get_by_role("link", name="XML, UBL 2.1").get_attribute("href")).text()
        for name, figure in (
            ("PayableAmount", "gross"),
            ("TaxExclusiveAmount", "net"),
            ("ChargeTotalAmount", "carriage"),
        ):
            assert f'<cbc:{name} currencyID="GBP">{sums[figure]}</cbc:{name}>' in xml
