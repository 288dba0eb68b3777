"""Every absurd thing order entry can be sent: a message beside the field, what was typed kept, never an error page."""

import uuid
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse

from orders.domain.ordering import Row, save_draft, start_draft
from orders.models import Order, OrderLine
from tests.factories import make_address, make_candle, make_person, make_shop
from tests.orders.entry_forms import form_of, kept, send, text_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def draft(packer, ivory):
    order = start_draft(shop=make_shop(), submission=uuid.uuid4(), by=packer.person)
    return save_draft(order=order, version=1, header={"reference": "kept"}, rows=[Row(ivory, 24)], by=packer.person)


# --- the header


@pytest.mark.parametrize(
    "case",
    [
        ("reference", "x" * 41, "at most 40 characters"),
        ("reference", "a\x00b", "Null characters are not allowed"),
        ("notes", "x" * 501, "at most 500 characters"),
        ("ship_by", "1066-10-14", "14 October 1066 is past"),
        ("ship_by", "2999-01-01", "Too far ahead"),
        ("ship_by", "yesterday", "Enter a valid date"),
        ("ship_by", "2026-02-30", "Enter a valid date"),
        ("deliver_to", "999999999", "not one of the available choices"),
        ("deliver_to", "x", "not one of the available choices"),
        ("deliver_to", "9" * 40, "not one of the available choices"),
    ],
)
@pytest.mark.parametrize("name", ["order_save", "order_confirm"])
def test_a_bad_header_is_told_at_its_field(packer, draft, name, case):
    field, value, words = case
    response = send(packer, name, draft, [("IV250", "24")], **{field: value})
    page = text_of(response)
    assert response.status_code == 422
    assert words in page
    assert f'id="id_{field}_error"' in page
    if field in ("reference", "notes") and "\x00" not in value:
        assert value in page
    draft.refresh_from_db()
    assert (draft.status, draft.reference) == ("draft", "kept")


def test_somebody_elses_address_is_refused(packer, draft):
    foreign = make_address(make_shop(address=False))
    response = send(packer, "order_save", draft, deliver_to=foreign.pk)
    assert (response.status_code, "not one of the available choices" in text_of(response)) == (422, True)


# --- the rows


@pytest.mark.parametrize(
    ("code", "pairs", "why"),
    [
        ("IV250", "0", "0 pairs: between 1 and 100,000"),
        ("IV250", "-3", "is not a number of pairs"),
        ("IV250", "2.5", "is not a number of pairs"),
        ("IV250", "1000000000", "1,000,000,000 pairs: between 1 and 100,000"),
        ("IV250", "100000b", "2,400,000 pairs: between 1 and 100,000"),
        ("IV250", "9" * 4000, "is not a number of pairs"),
        ("IV250", "many", "is not a number of pairs"),
        ("IV250", "", "How many pairs?"),
        ("", "24", "Which candle?"),
        ("<script>alert(1)</script>", "24", "No candle of that name"),
        ("purple", "24", "No candle of that name"),
        ("x" * 3000, "24", "No candle of that name"),
        ("24 IV250 12", "", "How many pairs?"),
    ],
)
def test_a_row_that_cannot_be_taken_is_kept_and_told(packer, draft, code, pairs, why):
    response = send(packer, "order_save", draft, [("IV250", "6"), (code, pairs)], live=True)
    page = text_of(response)
    assert response.status_code == 200
    assert why in page or code == "24 IV250 12"
    assert "<script>alert" not in page
    draft.refresh_from_db()
    assert kept(draft) == [("IV250", 6)]
    (row,) = draft.unread
    assert (row["text"], row["pairs"]) == (code, pairs)
    assert send(packer, "order_confirm", draft, [("IV250", "6"), (code, pairs)]).status_code == 422


def test_a_nul_byte_in_a_row_is_left_out(packer, draft):
    send(packer, "order_save", draft, [("IV\x00250", "2\x004")])
    assert kept(draft) == [("IV250", 24)]


def test_a_candle_twice_is_allowed_and_said(packer, draft):
    response = send(packer, "order_save", draft, [("IV250", "6"), ("IV250", "12")], live=True)
    assert kept(draft) == [("IV250", 6), ("IV250", 12)]
    assert "also in row 2" in text_of(response)


def test_a_candle_gone_from_the_catalogue_is_said_and_kept(packer, draft, ivory):
    ivory.active = False
    ivory.save()
    assert "IV250 is no longer in the catalogue." in text_of(packer.get(draft.get_absolute_url()))
    response = send(packer, "order_confirm", draft, [("IV250", "24")])
    assert response.status_code == 422
    draft.refresh_from_db()
    assert [row["text"] for row in draft.unread] == ["IV250"]


def test_a_total_that_would_not_fit_is_refused_and_typed_rows_stay(packer, draft):
    make_candle(code="DEAR", name="Gold taper", trade_price=Decimal("999999.99"))
    response = send(packer, "order_save", draft, [("DEAR", "100000")])
    page = text_of(response)
    assert response.status_code == 422
    assert "more than this book can invoice" in page
    assert 'value="DEAR"' in page
    assert "The total is more than this book can hold" in page
    assert kept(draft) == [("IV250", 24)]


def test_too_many_rows_are_refused_and_stay(packer, draft):
    response = send(packer, "order_save", draft, [("IV250", "1")] * 401)
    assert response.status_code == 422
    assert "At most 400 rows" in text_of(response)
    assert response.content.count(b'value="IV250"') >= 401
    assert kept(draft) == [("IV250", 24)]


def test_columns_of_different_length_lose_nothing(packer, draft):
    send(packer, "order_save", draft, code=["IV250", "IV250"], pairs=["6"], line=[])
    draft.refresh_from_db()
    assert kept(draft) == [("IV250", 6)]
    assert draft.unread[0]["text"] == "IV250"


@pytest.mark.parametrize(
    "act", [{"pick": "99:IV250"}, {"pick": "x"}, {"pick": "0:"}, {"strike": "-1"}, {"strike": "²"}]
)
def test_an_act_on_no_row_changes_nothing(packer, draft, act):
    assert send(packer, "order_save", draft, [("IV250", "24")], **act).status_code == 302
    assert kept(draft) == [("IV250", 24)]


def test_an_unknown_candle_picked_by_hand_is_a_row_to_look_at(packer, draft):
    send(packer, "order_save", draft, [("IV250", "24")], pick="0:NONE1")
    draft.refresh_from_db()
    assert (kept(draft), draft.unread[0]["text"]) == ([], "NONE1")


# --- the paste


@pytest.mark.parametrize(
    ("block", "words"),
    [("", "This field is required"), ("x" * 200_001, "at most 200000 characters"), ("a\x00b", "Null characters")],
)
def test_a_paste_that_cannot_be_read_is_told_and_kept(packer, draft, block, words):
    response = send(packer, "order_paste", draft, [("IV250", "7")], paste=block)
    page = text_of(response)
    assert response.status_code == 422
    assert words in page
    assert 'value="7"' in page
    assert kept(draft) == [("IV250", 24)]


def test_a_paste_of_too_many_rows_is_refused_whole(packer, draft):
    response = send(packer, "order_paste", draft, [("IV250", "7")], paste="IV250 1\n" * 500)
    assert (response.status_code, "At most 400 rows" in text_of(response)) == (422, True)
    assert kept(draft) == [("IV250", 24)]


def test_a_paste_of_nonsense_is_all_kept(packer, draft):
    block = "\n".join(["😀 candles", "=cmd|' /C calc'!A0", "'; drop table", "\u202e24 IV250", "1e9 IV250"])
    send(packer, "order_paste", draft, paste=block)
    draft.refresh_from_db()
    assert [row["line"] for row in draft.unread] == [line.strip() for line in block.splitlines()]


# --- the page itself


@pytest.mark.parametrize("version", ["", "x", "0", "-1", "9" * 30])
@pytest.mark.parametrize("name", ["order_save", "order_confirm", "order_paste", "order_fill"])
def test_a_page_without_its_version_is_refused_and_keeps_its_rows(packer, draft, name, version):
    response = send(packer, name, draft, [("IV250", "7")], version=version, paste="IV250 8", fill="last")
    assert response.status_code == 422
    assert 'value="7"' in text_of(response)
    assert kept(draft) == [("IV250", 24)]


def test_a_stale_page_changes_nothing(packer, draft):
    response = send(packer, "order_confirm", draft, [("IV250", "7")], version=1)
    assert response.status_code == 422
    assert "while you were typing" in text_of(response)
    draft.refresh_from_db()
    assert (draft.status, kept(draft)) == ("draft", [("IV250", 24)])


@pytest.mark.parametrize(
    "data",
    [
        {},
        {"shop": "x", "submission": "x"},
        {"shop": "999999999", "submission": str(uuid.uuid4())},
        {"shop": "9" * 40, "submission": str(uuid.uuid4())},
        {"shop": "1\x00", "submission": "\x00"},
        {"q": "lamp\x00", "grade": "thirds"},
    ],
)
def test_a_shop_chosen_wrongly_begins_nothing(packer, data):
    response = packer.post(reverse("order_new"), data)
    assert (response.status_code, "Choose a shop from the list." in text_of(response)) == (422, True)
    assert not Order.objects.exists()


def test_a_grade_made_up_begins_nothing(packer):
    data = {"shop": make_shop().pk, "submission": str(uuid.uuid4()), "grade": "thirds"}
    assert packer.post(reverse("order_new"), data).status_code == 422
    assert not Order.objects.exists()


@pytest.mark.parametrize("typed", ["x" * 5000, "\x00", "%", "' or 1=1", "😀"])
def test_any_search_is_answered(packer, typed):
    assert packer.get(reverse("shop_find"), {"q": typed}).status_code == 200
    assert packer.get(reverse("order_new"), {"q": typed}).status_code == 200


@pytest.mark.parametrize("number", ["0", "99999999999999999999"])
def test_an_unknown_number_is_not_found(packer, number):
    assert packer.get(f"/orders/{number}/entry/").status_code == 404


# --- the same by a bare create


@pytest.mark.parametrize("bad", [{"pairs": 100_001}, {"price": Decimal("-0.01")}, {"pairs": 1, "sent": 2}])
def test_the_database_refuses_what_the_form_refuses(draft, ivory, bad):
    values = {
        "order": draft,
        "position": 9,
        "candle": ivory,
        "pairs": 1,
        "price": 1,
        "price_from": "trade price",
        **bad,
    }
    with pytest.raises(IntegrityError), transaction.atomic():
        OrderLine.objects.create(**values)


def test_a_field_that_is_no_header_is_a_slip_of_the_programmer(draft):
    with pytest.raises(ValueError, match="not a field"):
        save_draft(order=draft, version=2, header={"status": "done"}, rows=[], by=make_person())


def test_the_domain_refuses_what_a_form_let_through(draft):
    with pytest.raises(ValidationError):
        save_draft(order=draft, version=2, header={"notes": "x" * 501}, rows=[], by=make_person())
    assert form_of(draft)["version"] == 2
