"""A form come back becomes one draft to look over, and says what of it is doubtful."""

import io
import zipfile
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone
from openpyxl import Workbook

from inventory.models import Candle, Record
from inventory.triggers import unguard
from orders.audit.kept_files import breaches
from orders.domain.forms_back import take_in_form
from orders.domain.ordering import confirm_order, discard_draft
from orders.models import FormBack, KeptFile, Order, OrderForm
from orders.queries.entry import typed_rows_of
from orders.queries.order_forms import van_days_between
from tests.factories import make_address, make_candle, make_person, make_shop, make_van_days, make_workshop
from tests.factories.order_forms import filled, make_form
from tests.inventory.test_audit import Editor

pytestmark = pytest.mark.django_db


@pytest.fixture
def packer():
    return make_person("packer", full_name="Ann Wick")


@pytest.fixture
def form(packer):
    make_workshop()
    make_van_days(1, 3)
    for code, name in (("IV250", "Ivory taper 250 x 22"), ("RD250", "Winter red taper 250 x 22")):
        make_candle(code=code, name=name)
    shop = make_shop(name="The Lamp Room", town="Wexcombe")
    make_address(shop, label="Warehouse", lines="1 Quay", usual=False)
    return make_form(shop, by=packer)


def take(data: bytes, by, shop=None, name: str = "order.xlsx"):
    return take_in_form(name=name, data=data, shop=shop, by=by)


def refusal(data: bytes, by, shop=None) -> dict[str, list[str]]:
    with pytest.raises(ValidationError) as refused:
        take(data, by, shop)
    assert (Order.objects.count(), FormBack.objects.count()) == (0, 0)
    return refused.value.message_dict


def test_it_becomes_a_draft_with_everything_the_shop_wrote(form, packer):
    day = van_days_between(form.first_day, form.last_day)[1]

    def change(sheet):
        sheet.head("reference", "PO 17")
        sheet.head("day", day)
        sheet.head("address", "Warehouse, 1 Quay")
        sheet.head("notes", "Ring first")
        sheet.put("RD250", "with a ribbon", "note")
        sheet.add(code="IV25O", pairs="6")

    taken = take(filled(form, {"IV250": 24, "RD250": "2 boxes"}, change), packer)
    order = taken.back.order
    assert (taken.new, order.status, order.shop, order.made_by) == (True, "draft", form.shop, packer)
    assert (order.reference, order.ship_by, order.deliver_to.label) == ("PO 17", day, "Warehouse")
    row = taken.back.rows[1]["row"]
    assert order.notes == f"Ring first / Row {row}, RD250: with a ribbon"
    assert list(order.lines.values_list("candle__code", "pairs")) == [("IV250", 24), ("RD250", 48)]
    [unread] = order.unread
    assert (unread["text"], unread["pairs"], unread["why"]) == ("IV25O", "6", "No candle of that name.")
    assert unread["line"] == f"Row {row + 1}: IV25O – 6"
    assert [typed.candle for typed in typed_rows_of(order)] == ["IV250", "RD250", "IV25O"]
    assert taken.back.told == ["Their note: Ring first", f"They also wrote: Row {row}, RD250: with a ribbon"]
    assert [row["became"] for row in taken.back.rows] == [
        "IV250, 24 pairs", "RD250, 48 pairs (2 boxes)", "No candle of that name."
    ]  # fmt: skip
    story = Record.objects.filter(subject="order", subject_id=order.pk).values_list("what", flat=True)
    assert "From OF-101 come back: 2 rows read, 72 pairs; 1 row to look at." in story


def test_the_same_file_is_the_same_draft_and_saved_anew_too(form, packer):
    data = filled(form, {"IV250": 24})
    one = take(data, packer)
    for again in (data, filled(form, {"IV250": 24})):
        two = take(again, packer, shop=form.shop)
        assert (two.back, two.new) == (one.back, False)
    assert (Order.objects.count(), KeptFile.objects.count()) == (1, 2)
    order = Order.objects.get()
    confirm_order(order=order, version=order.version, by=packer)
    assert take(data, packer).back == one.back


def test_put_away_it_can_be_read_once_more(form, packer):
    data = filled(form, {"IV250": 24})
    order = take(data, packer).back.order
    discard_draft(order=order, version=order.version, by=packer)
    again = take(data, packer)
    assert (again.new, again.back.order.status) == (True, "draft")
    assert again.back.order != order
    assert take(data, packer).back == again.back


def test_with_other_contents_it_is_another_draft_and_says_so(form, packer):
    first = take(filled(form, {"IV250": 24}), packer).back.order
    second = take(filled(form, {"IV250": 36}), packer).back
    assert second.order != first
    today = timezone.localdate()
    assert second.told[-1] == (
        f"OF-101 came back before, on {today.day} {today:%B %Y}: order {first.number}, draft. "
        "If this one takes its place, call that one off or put it away."
    )


def test_another_shops_form_is_refused_by_name(form, packer):
    other = make_shop(name="Fern & Flint", town="Orrin Bay")
    assert refusal(filled(form, {"IV250": 24}), packer, other) == {
        "shop": ["OF-101 was made for The Lamp Room, Wexcombe, not for Fern & Flint, Orrin Bay. "
                 "Choose that shop, or no shop."]
    }  # fmt: skip


@pytest.mark.parametrize(
    ("number", "asked", "told"),
    [
        (None, "The form's number is gone: say whose order it is.",
         "The form's number is gone: prices were not compared."),
        ("OF-999", "No form OF-999 was made here: say whose order it is.", "No form OF-999 was made here."),
    ],
)  # fmt: skip
def test_without_a_number_a_person_says_whose_it_is(form, packer, number, asked, told):
    data = filled(form, {"IV250": 24}, lambda sheet: sheet.head("form", number))
    assert refusal(data, packer) == {"shop": [asked]}
    back = take(data, packer, form.shop).back
    assert (back.form, back.told[0], back.order.shop) == (None, told, form.shop)


def test_prices_changed_since_are_told_and_todays_are_taken(form, packer):
    candle = make_candle(code="MS180", trade_price=Decimal("1.90"))
    old = make_form(form.shop, by=packer)
    data = filled(old, {"MS180": 12, "IV250": 12})
    candle.trade_price = Decimal("2.05")
    candle.save()
    back = take(data, packer).back
    made = old.made_on
    assert back.told[0] == (
        f"Since OF-102 of {made.day} {made:%B %Y} 1 price changed: MS180 1.90 then, 2.05 now. "
        "The draft goes by today's."
    )
    assert dict(back.order.lines.values_list("candle__code", "price"))["MS180"] == Decimal("2.05")


def test_a_candle_that_left_the_catalogue_is_a_doubt(form, packer):
    data = filled(form, {"IV250": 24, "RD250": 12})
    Candle.objects.filter(code="RD250").update(active=False)
    [unread] = take(data, packer).back.order.unread
    assert unread["why"] == "RD250 is no longer in the catalogue."


@pytest.mark.parametrize(
    ("written", "told"),
    [
        (None, "They chose no day; {guess} is our own guess."),
        ("asap", "“asap” is no plain day; {guess} is our own guess."),
        (date(2020, 1, 7), "They want it to leave on 7 January 2020. 7 January 2020 is past. The earliest is today. "
                           "{guess} is our own guess."),
    ],
)  # fmt: skip
def test_a_day_that_cannot_be_kept_is_told(form, packer, written, told):
    back = take(filled(form, {"IV250": 24}, lambda sheet: sheet.head("day", written)), packer).back
    guess = back.order.ship_by
    assert back.told == [told.format(guess=f"{guess.day} {guess:%B %Y}")]
    assert ("Leaves us on: " in back.order.notes) == (written is not None)


def test_a_day_without_a_van_and_a_strange_address_are_kept_and_told(form, packer):
    day = timezone.localdate() + timedelta(days=9)
    while day.weekday() in (1, 3):
        day += timedelta(days=1)

    def change(sheet):
        sheet.head("day", day)
        sheet.head("address", "The stall on the quay")

    back = take(filled(form, {"IV250": 24}, change), packer).back
    assert back.order.ship_by == day
    assert back.told == [
        f"{day:%A} {day.day} {day:%B %Y} is no day of the van: it would go before.",
        "“The stall on the quay” is none of their addresses here; the draft goes to Shop, 4 Tanner Row.",
    ]
    assert "Deliver to: The stall on the quay" in back.order.notes


def test_remarks_without_room_in_the_notes_become_rows_to_look_at(form, packer):
    def change(sheet):
        sheet.head("notes", "A" * 450)
        sheet.put("IV250", "B" * 100, "note")

    order = take(filled(form, {"IV250": 24}, change), packer).back.order
    assert order.notes == "A" * 450
    [unread] = order.unread
    assert (unread["at"], unread["why"]) == (1, "A remark.")
    assert unread["line"].endswith("IV250: " + "B" * 100)


def test_a_form_that_orders_nothing_is_refused_with_its_words(form, packer):
    data = filled(form, {}, lambda sheet: sheet.add(code="Nothing this month, sorry"))
    [said] = refusal(data, packer)["file"]
    assert said.startswith("No pairs stand on it, so there is nothing to order. They wrote: Row ")
    assert "Nothing this month, sorry" in said


def zip_bomb() -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/worksheets/sheet1.xml", b"0" * 101_000_000)
    return made.getvalue()


def many_rows() -> bytes:
    book = Workbook()
    for row in [("Code", "Candle", "Pairs wanted"), *((f"X{n}", "", n) for n in range(1, 402))]:
        book.active.append(row)
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is empty"),
        (b"\xd0\xcf\x11\xe0 old", "old kind"),
        (b"PK\x03\x04 torn", "damaged"),
        (b"a,b\n1,2\n", "No order form"),
        (b"x" * 10_000_001, "at most 10 MB"),
        (zip_bomb, "more than 100 MB"),
        (many_rows, "More than 400 rows are ordered"),
    ],
)
def test_what_cannot_be_read_is_refused_in_words(form, packer, data, said):
    assert said in " ".join(refusal(data() if callable(data) else data, packer, form.shop)["file"])


def test_a_shop_no_longer_served_gets_no_draft(form, packer):
    form.shop.active = False
    form.shop.save()
    assert "no longer among the shops" in refusal(filled(form, {"IV250": 24}), packer)["shop"][0]


def test_what_came_back_is_kept_as_it_came(form, packer):
    data = filled(form, {"IV250": 24})
    back = take(data, packer, name='../"order"\n.xlsx').back
    assert (bytes(back.file.content), back.file.name) == (data, "..--order--.xlsx")
    assert OrderForm.objects.get().backs.get() == back


def test_the_audit_names_a_file_that_changed_and_an_order_of_another_shop(form, packer):
    back = take(filled(form, {"IV250": 24}), packer).back
    assert list(breaches()) == []
    unguard(Editor, "orders_keptfile")
    KeptFile.objects.filter(pk=back.file_id).update(content=b"PK other")
    Order.objects.filter(pk=back.order_id).update(shop=make_shop())
    assert [line.split(" ")[0] for line in breaches()] == ["kept", "OF-101"]
