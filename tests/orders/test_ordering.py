import uuid
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.domain.versions import StaleVersion
from inventory.models import Record
from orders.domain.ordering import Row, confirm_order, discard_draft, save_draft, start_draft
from orders.domain.pricing import price_of
from orders.models import Order, OrderLine
from orders.models.order import CANCELLED, CONFIRMED, DRAFT
from production.models import Want
from tests.factories import make_address, make_candle, make_order, make_person, make_shop, make_workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def person():
    return make_person()


def soon(days: int = 9) -> date:
    return timezone.localdate() + timedelta(days=days)


def draft_of(rows, person, shop=None, **header) -> Order:
    """A saved draft with rows given as (candle, pairs)."""
    order = start_draft(shop=shop or make_shop(), submission=uuid.uuid4(), by=person)
    header = {"ship_by": soon(), **header}
    return save_draft(order=order, version=1, header=header, rows=[Row(*row) for row in rows], by=person)


def said(error) -> str:
    return " ".join(error.value.messages)


# --- beginning


def test_a_draft_takes_the_next_number_and_the_usual_address(person):
    shop = make_shop()
    other = make_address(shop, label="Yard", usual=False)
    first = start_draft(shop=shop, submission=uuid.uuid4(), by=person)
    second = start_draft(shop=shop, submission=uuid.uuid4(), by=person)
    assert second.number == first.number + 1
    assert (first.status, first.deliver_to.usual) == (DRAFT, True)
    assert first.deliver_to != other
    assert Record.objects.get(subject="order", subject_id=first.pk).person == person


def test_the_same_submission_makes_one_draft(person):
    shop, submission = make_shop(), uuid.uuid4()
    first = start_draft(shop=shop, submission=submission, by=person)
    assert start_draft(shop=shop, submission=submission, by=person) == first
    assert Order.objects.count() == 1


def test_the_same_submission_for_another_shop_is_another_order(person):
    submission, shop, other = uuid.uuid4(), make_shop(), make_shop()
    first = start_draft(shop=shop, submission=submission, by=person)
    second = start_draft(shop=other, submission=submission, by=person)
    seconds = start_draft(shop=shop, submission=submission, by=person, grade="seconds")
    assert (second.shop, seconds.grade) == (other, "seconds")
    assert start_draft(shop=other, submission=submission, by=person) == second
    assert len({first.pk, second.pk, seconds.pk}) == 3


def test_a_shop_that_is_gone_gets_no_draft(person):
    with pytest.raises(ValidationError, match="no longer among the shops"):
        start_draft(shop=make_shop(active=False), submission=uuid.uuid4(), by=person)
    assert not Order.objects.exists()


def test_a_submission_is_unique_in_the_database(person):
    order = make_order()
    with pytest.raises(IntegrityError), transaction.atomic():
        make_order(submission=order.submission)


# --- saving


def test_saving_keeps_rows_in_their_turn_and_grows_the_version(person):
    one, two = make_candle(), make_candle()
    order = draft_of([(two, 24), (one, 12), (two, 6)], person, reference="XM-1", notes="ring first")
    assert [(line.candle, line.pairs) for line in order.lines.all()] == [(two, 24), (one, 12), (two, 6)]
    assert (order.version, order.reference, order.notes) == (2, "XM-1", "ring first")


def test_unread_rows_stay_with_the_draft(person):
    order = start_draft(shop=make_shop(), submission=uuid.uuid4(), by=person)
    unread = [{"text": "20 x purple", "why": "No candle fits."}]
    save_draft(order=order, version=1, header={}, rows=[], unread=unread, by=person)
    order.refresh_from_db()
    assert order.unread == unread


def test_an_old_version_is_told_and_changes_nothing(person):
    candle = make_candle()
    order = draft_of([(candle, 24)], person)
    with pytest.raises(StaleVersion):
        save_draft(order=order, version=1, header={}, rows=[Row(candle, 5)], by=person)
    assert order.lines.get().pairs == 24


def test_the_same_content_with_an_old_version_is_no_change(person):
    candle = make_candle()
    order = draft_of([(candle, 24)], person, reference="A")
    again = save_draft(order=order, version=1, header={"reference": "A"}, rows=[Row(candle, 24)], by=person)
    assert again.version == 2


@pytest.mark.parametrize("pairs", [0, -3, 100_001, 10**9])
def test_absurd_pairs_are_refused(person, pairs):
    candle = make_candle()
    order = draft_of([(candle, 24)], person)
    with pytest.raises(ValidationError, match="Between 1 and 100,000 pairs"):
        save_draft(order=order, version=2, header={}, rows=[Row(candle, pairs)], by=person)
    with pytest.raises(IntegrityError), transaction.atomic():
        OrderLine.objects.create(
            order=order, position=9, candle=candle, pairs=100_001, price=1, price_from="trade price"
        )
    assert order.lines.get().pairs == 24


def test_a_total_that_would_not_fit_is_refused(person):
    dear = make_candle(trade_price=Decimal("999999.99"))
    order = start_draft(shop=make_shop(), submission=uuid.uuid4(), by=person)
    with pytest.raises(ValidationError, match="more than this book can invoice"):
        save_draft(order=order, version=1, header={}, rows=[Row(dear, 99)], by=person)
    assert save_draft(order=order, version=1, header={}, rows=[Row(dear, 49)], by=person).version == 2


def test_too_many_rows_are_refused(person):
    candle = make_candle()
    order = start_draft(shop=make_shop(), submission=uuid.uuid4(), by=person)
    with pytest.raises(ValidationError, match="At most 400 rows"):
        save_draft(order=order, version=1, header={}, rows=[Row(candle, 1)] * 401, by=person)


def test_an_overlong_reference_is_refused_at_its_field(person):
    order = start_draft(shop=make_shop(), submission=uuid.uuid4(), by=person)
    with pytest.raises(ValidationError) as error:
        save_draft(order=order, version=1, header={"reference": "x" * 41}, rows=[], by=person)
    assert "reference" in error.value.message_dict


def test_a_draft_in_another_hand_goes_on_record_once(person):
    order, other, candle = draft_of([], person), make_person(), make_candle()
    for version, pairs in ((2, 5), (3, 6)):
        save_draft(order=order, version=version, header={}, rows=[Row(candle, pairs)], by=other)
    assert Record.objects.filter(subject="order", subject_id=order.pk, what="Draft changed.").count() == 1


# --- prices


def test_a_second_costs_the_workshops_share_half_up():
    make_workshop(seconds_share=Decimal("0.50"))
    candle, shop = make_candle(trade_price=Decimal("2.25")), make_shop()
    firsts, seconds = price_of(candle, shop, "firsts"), price_of(candle, shop, "seconds")
    assert (firsts.price, firsts.words) == (Decimal("2.25"), "trade price")
    assert (seconds.price, seconds.words) == (Decimal("1.13"), "seconds, 50 % of 2.25")


def test_a_second_is_never_given_away():
    make_workshop(seconds_share=Decimal("0.10"))
    assert price_of(make_candle(trade_price=Decimal("0.01")), make_shop(), "seconds").price == Decimal("0.01")


def test_a_book_without_a_workshop_sells_seconds_at_the_usual_share():
    assert price_of(make_candle(trade_price=Decimal("2.00")), make_shop(), "seconds").price == Decimal("1.00")


# --- confirming


def test_confirming_freezes_terms_and_prices_and_asks_the_floor(person):
    shop = make_shop(discount=Decimal("5"), carriage=Decimal("9.50"), complete_only=True)
    candle = make_candle(trade_price=Decimal("2.20"))
    order = draft_of([(candle, 24)], person, shop=shop)
    candle.trade_price = Decimal("2.40")
    candle.save()
    order = confirm_order(order=order, version=2, by=person)
    shop.discount = 0
    shop.save()
    order.refresh_from_db()
    line = order.lines.get()
    assert (order.status, order.placed_on) == (CONFIRMED, timezone.localdate())
    assert (order.discount, order.carriage, order.complete_only) == (Decimal("5"), Decimal("9.50"), True)
    assert (line.price, line.price_from) == (Decimal("2.40"), "trade price")
    assert line.want.pairs == 24
    assert Record.objects.filter(subject="order", subject_id=order.pk, what__startswith="Confirmed: 24 pairs").exists()


def test_confirming_twice_is_confirming_once(person):
    order = draft_of([(make_candle(), 24)], person)
    confirm_order(order=order, version=2, by=person)
    assert confirm_order(order=order, version=2, by=person).version == 3
    assert Record.objects.filter(what__startswith="Confirmed").count() == 1


def test_a_shop_on_stop_may_order(person):
    shop = make_shop(on_stop=True, stop_reason="two invoices late")
    order = draft_of([(make_candle(), 24)], person, shop=shop)
    assert confirm_order(order=order, version=2, by=person).status == CONFIRMED


def test_seconds_never_reach_the_dip_list(person):
    order = start_draft(shop=make_shop(), submission=uuid.uuid4(), by=person, grade="seconds")
    order = save_draft(order=order, version=1, header={"ship_by": soon()}, rows=[Row(make_candle(), 6)], by=person)
    confirm_order(order=order, version=2, by=person)
    assert not Want.objects.exists()


@pytest.mark.parametrize(
    ("field", "change", "words"),
    [
        ("ship_by", {"ship_by": None}, "When must it leave"),
        ("ship_by", {"ship_by": date(2020, 1, 1)}, "is past"),
        ("ship_by", {"ship_by": date(2099, 1, 1)}, "Too far ahead"),
        ("reference", {"reference": " "}, "needs its own reference"),
        ("deliver_to", {"deliver_to": None}, "Where does it go"),
    ],
)
def test_what_is_missing_is_told_at_its_field(person, field, change, words):
    shop = make_shop(reference_required=True)
    order = draft_of([(make_candle(), 24)], person, shop=shop, **{"reference": "X", **change})
    with pytest.raises(ValidationError) as error:
        confirm_order(order=order, version=2, by=person)
    assert list(error.value.message_dict) == [field]
    assert words in said(error)
    order.refresh_from_db()
    assert order.status == DRAFT


def test_every_fault_is_told_at_once(person):
    order = start_draft(shop=make_shop(reference_required=True, address=False), submission=uuid.uuid4(), by=person)
    save_draft(order=order, version=1, header={"ship_by": None}, rows=[], by=person)
    with pytest.raises(ValidationError) as error:
        confirm_order(order=order, version=2, by=person)
    assert set(error.value.message_dict) == {"ship_by", "reference", "deliver_to", "rows"}


def test_anothers_address_is_refused(person):
    order = draft_of([(make_candle(), 24)], person, deliver_to=make_address(make_shop(address=False)))
    with pytest.raises(ValidationError, match="not a delivery address"):
        confirm_order(order=order, version=2, by=person)


def test_rows_not_understood_hold_the_order_up(person):
    order = start_draft(shop=make_shop(), submission=uuid.uuid4(), by=person)
    rows, unread = [Row(make_candle(), 4)], [{"text": "purple", "why": "No candle fits."}]
    save_draft(order=order, version=1, header={"ship_by": soon()}, rows=rows, unread=unread, by=person)
    with pytest.raises(ValidationError, match="not understood yet"):
        confirm_order(order=order, version=2, by=person)


def test_a_candle_gone_from_the_catalogue_holds_the_order_up(person):
    candle = make_candle()
    order = draft_of([(candle, 24)], person)
    candle.active = False
    candle.save()
    with pytest.raises(ValidationError, match=f"No longer in the catalogue: {candle.code}"):
        confirm_order(order=order, version=2, by=person)


def test_a_draft_put_away_keeps_its_number(person):
    order = draft_of([(make_candle(), 24)], person)
    discard_draft(order=order, version=2, by=person)
    assert discard_draft(order=order, version=2, by=person).status == CANCELLED
    assert Order.objects.get(number=order.number).lines.count() == 1
    with pytest.raises(ValidationError, match="no longer a draft"):
        confirm_order(order=order, version=3, by=person)
