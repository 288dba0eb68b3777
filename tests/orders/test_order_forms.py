"""Order forms made for a shop: its prices, its days, what it took a year ago, what it may write into; and sent."""

import io
import re
import uuid
from datetime import date, timedelta
from decimal import ROUND_HALF_UP, Decimal

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.db import DatabaseError, transaction
from django.utils import timezone
from openpyxl import load_workbook

from inventory.sheets import read_grids
from orders.documents.order_form import order_form_of
from orders.domain.order_forms import send_order_form, usual_message
from orders.models import KeptFile, Letter, OrderForm
from orders.money import line_net
from orders.order_form.parts import FormRow
from orders.order_form.told import quarters_before
from orders.order_form.writing import value_formula
from orders.queries.order_forms import usual_stretch
from tests.factories import make_candle, make_order, make_person, make_shop, make_van_days, make_workshop
from tests.factories.order_forms import COLUMN, Filled, make_form
from tests.factories.prices import make_agreed, make_group, make_price_list

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    make_workshop()
    make_van_days(1, 3)
    return make_shop(name="The Lamp Room", discount=Decimal(5))


def sheet_of(form) -> Filled:
    return Filled(bytes(form.file.content))


def test_it_has_the_shops_own_prices_and_what_it_took_a_year_ago(shop, django_assert_max_num_queries):
    listed, agreed, trade = (make_candle(code=code) for code in ("IV250", "RD250", "MS180"))
    make_candle(code="OLD1", active=False)
    make_price_list([(listed, "2.50")], [(listed, 4, "10")], group=make_group(shop))
    make_agreed(shop, agreed, price=Decimal("1.95"))
    today = timezone.localdate()
    first, last = date(today.year + 1, 2, 2), date(today.year + 1, 2, 27)
    for ship_by, pairs in (((today.year, 1, 1), 24), ((today.year, 3, 31), 12), ((today.year, 4, 1), 500)):
        make_order(shop, [(listed, pairs)], ship_by=date(*ship_by))
    make_order(shop, [(listed, 99)], ship_by=date(today.year, 2, 1), grade="seconds")
    make_order(shop, [(listed, 77)], ship_by=date(today.year, 2, 1), status="cancelled")
    with django_assert_max_num_queries(12):
        form = order_form_of(number="OF-1", shop=shop, first=first, last=last, note="", today=today)
    rows = {row.code: row for row in form.rows}
    assert list(rows) == ["IV250", "MS180", "RD250"]
    assert (rows["IV250"].price, rows["IV250"].steps, rows["IV250"].discount) == (
        Decimal("2.50"), ((96, Decimal("2.25")),), 5
    )  # fmt: skip
    assert (rows["RD250"].price, rows["RD250"].discount, rows["MS180"].price) == (
        Decimal("1.95"),
        0,
        trade.trade_price,
    )
    assert [rows[code].last for code in rows] == [36, 0, 0]
    assert {day.weekday() for day in form.days} == {1, 3}
    assert (form.days[0] >= first, form.days[-1] <= last) == (True, True)
    assert any(f"January to March {today.year}" in sentence for sentence in form.terms)


def test_only_what_the_shop_may_write_is_open(shop):
    make_candle(code="IV250", name="=1+1 taper")
    sheet = sheet_of(make_form(shop, note="Orders by 1 October, please."))
    assert sheet.sheet.protection.sheet
    assert sheet.sheet.protection.sort is False
    row = sheet.row_of("IV250")
    opened = {cell.coordinate for cells in sheet.sheet.iter_rows() for cell in cells if not cell.protection.locked}
    assert {f"I{row}", f"K{row}"} <= opened
    assert not {f"B{row}", f"C{row}", f"F{row}", f"J{row}"} & opened
    assert {cell for cell in opened if int(cell[1:]) < sheet.top} == {"C5", "C6", "C7", "C8"}
    assert sheet.sheet.cell(row, COLUMN["candle"]).data_type == "s"
    assert len(sheet.sheet._images) == 1
    lists = {str(rule.sqref): rule for rule in sheet.sheet.data_validations.dataValidation}
    assert (lists["C6"].formula1.startswith("=Days!$A$2:"), lists["C6"].errorStyle) == (True, "warning")
    assert lists["C6"].showErrorMessage
    assert sheet.sheet["C7"].value == "Shop, 4 Tanner Row"
    assert "Orders by 1 October, please." in [cell.value for cell in sheet.sheet["B"]]


def test_its_days_are_those_of_the_van(shop):
    make_candle()
    form = make_form(shop)
    days = [row.cell(0) for row in read_grids(bytes(form.file.content))[1].rows[1:]]
    assert {date.fromisoformat(day).weekday() for day in days} == {1, 3}
    assert all(form.first_day <= date.fromisoformat(day) <= form.last_day for day in days)


@pytest.mark.parametrize(
    ("pairs", "price"), [(1, "2.30"), (23, "2.30"), (24, "2.15"), (95, "2.15"), (96, "1.99"), (500, "1.99")]
)
@pytest.mark.parametrize("discount", ["0", "5", "12.5"])
def test_the_sums_on_it_are_the_invoices_sums(pairs, price, discount):
    row = FormRow(
        "IV250", "", "", 24, Decimal("2.30"), ((24, Decimal("2.15")), (96, Decimal("1.99"))), Decimal(discount)
    )
    formula = re.sub(r"(?<![A-Z\d])(\d+(?:\.\d+)?)", r"D('\1')", value_formula(16, row)[1:])
    known = {
        "IF": lambda asked, one, other: one if asked else other,
        "ISNUMBER": lambda value: isinstance(value, Decimal),
        "ROUND": lambda value, places: value.quantize(Decimal(1).scaleb(-int(places)), ROUND_HALF_UP),
        "D": Decimal,
    }
    asked = eval(formula, known, {"I16": Decimal(pairs)})
    assert asked == line_net(pairs, Decimal(price), Decimal(discount))


def test_the_same_page_sent_twice_makes_one_form(shop):
    make_candle()
    submission = uuid.uuid4()
    one, two = (make_form(shop, submission=submission) for _ in range(2))
    assert one == two
    assert (str(one), KeptFile.objects.count()) == ("OF-101", 1)
    assert str(make_form(shop)) == "OF-102"


@pytest.mark.parametrize(
    ("first", "last", "field"),
    [(-1, 9, "first_day"), (9, 8, "last_day"), (9, 900, "last_day"), (4, 4, "last_day")],
    ids=["past", "out of order", "too far", "no van"],
)
def test_days_that_make_no_form_are_refused(shop, first, last, field):
    make_candle()
    monday = timezone.localdate() + timedelta(days=7 - timezone.localdate().weekday())
    start = monday - timedelta(days=4) if first == last else timezone.localdate()
    days = (monday, monday) if first == last else (start + timedelta(days=first), start + timedelta(days=last))
    with pytest.raises(ValidationError) as refused:
        make_form(shop, first_day=days[0], last_day=days[1])
    assert list(refused.value.message_dict) == [field]
    assert OrderForm.objects.count() == 0


def test_a_shop_for_which_nothing_has_a_price_gets_none(shop):
    make_candle()
    shop.currency = "EUR"
    shop.save()
    with pytest.raises(ValidationError, match="Nothing in the catalogue has a price in EUR"):
        make_form(shop)


def test_it_goes_by_letter_once_to_the_same_addresses(shop, django_capture_on_commit_callbacks):
    make_candle()
    form, by = make_form(shop), make_person("packer")
    with django_capture_on_commit_callbacks(execute=True):
        for to in ("ann@lamproom.example, buyer@lamproom.example", "Buyer@lamproom.example; ann@lamproom.example"):
            send_order_form(form=form, to=to, message=usual_message(form), by=by)
        send_order_form(form=form, to="third@lamproom.example", message="Again.", by=by)
    assert Letter.objects.count() == len(mail.outbox) == 2
    [(name, content, kind)] = mail.outbox[0].attachments
    assert (name, content, kind.rpartition(".")[2]) == (
        "order-form-101-the-lamp-room.xlsx", bytes(form.file.content), "sheet"
    )  # fmt: skip
    assert load_workbook(io.BytesIO(content)).active["C3"].value == "OF-101"
    assert "OF-101 is attached: 1 candle at your prices" in mail.outbox[0].body


@pytest.mark.parametrize(("to", "message", "field"), [("nobody", "Hello", "to"), ("a@b.example", " ", "message")])
def test_a_letter_that_cannot_go_is_refused(shop, to, message, field):
    make_candle()
    with pytest.raises(ValidationError) as refused:
        send_order_form(form=make_form(shop), to=to, message=message, by=make_person())
    assert list(refused.value.message_dict) == [field]
    assert Letter.objects.count() == 0


def test_a_form_and_its_file_never_change(shop):
    make_candle()
    form = make_form(shop)
    for row, field in ((form, "note"), (form.file, "name")):
        with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
            type(row).objects.filter(pk=row.pk).update(**{field: "other"})


def test_days_out_of_order_are_refused_by_the_table_too(shop):
    make_candle()
    form = make_form(shop)
    values = {"shop": shop, "rows": [], "file_id": form.file_id, "made_on": form.made_on, "made_at": form.made_at}
    with pytest.raises(DatabaseError), transaction.atomic():
        OrderForm.objects.create(
            **values, number=1, first_day=date(2026, 9, 2), last_day=date(2026, 9, 1), made_by=make_person(),
            submission=uuid.uuid4(),
        )  # fmt: skip


@pytest.mark.parametrize(
    ("today", "last"),
    [(date(2026, 7, 1), date(2026, 12, 24)), (date(2026, 12, 1), date(2026, 12, 24)), (date(2026, 2, 2), None),
     (date(2026, 12, 20), None)],
)  # fmt: skip
def test_from_summer_on_a_form_reaches_to_christmas_eve(shop, today, last):
    first, until = usual_stretch(today)
    assert (first - today).days >= 7
    assert until == (last or first + timedelta(days=182))


@pytest.mark.parametrize(
    ("first", "last", "expected"),
    [
        ((2026, 12, 8), (2026, 12, 24), ((2025, 10, 1), (2026, 1, 1), "October to December 2025")),
        ((2026, 8, 4), (2026, 12, 24), ((2025, 7, 1), (2026, 1, 1), "July to December 2025")),
        ((2026, 12, 8), (2027, 3, 2), ((2025, 10, 1), (2026, 4, 1), "October 2025 to March 2026")),
        ((2026, 2, 8), (2026, 5, 2), ((2025, 1, 1), (2025, 7, 1), "January to June 2025")),
    ],
)
def test_a_year_ago_is_counted_in_whole_quarters(first, last, expected):
    since, until, words = expected
    assert quarters_before(date(*first), date(*last)) == (date(*since), date(*until), words)
