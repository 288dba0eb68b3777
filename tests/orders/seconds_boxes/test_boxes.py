"""Boxes of seconds through the domain: what they hold is held, they are sold whole, and come back whole."""

import uuid
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError

from inventory.domain.lots import adjust_lot
from inventory.domain.versions import StaleVersion
from orders.audit import breaches
from orders.domain.seconds_boxes import make_up_box, open_box, price_seconds_box
from orders.domain.setting_aside import set_aside_order
from orders.models import BoxKind, SecondsBox
from tests.factories import make_lot, make_order
from tests.factories.seconds import make_seconds_box
from tests.orders.seconds_boxes.shelf import free, sell, sold, sound, state

pytestmark = pytest.mark.django_db


def test_what_lies_in_a_box_is_nobody_elses(box, lots, by, taper):
    assert (box.code, box.state, free(*lots)) == ("SB-101", "on the shelf", [2, 2, 0])
    order = make_order(lines=[(taper, 20)], by=by, grade="seconds")
    set_aside_order(order=order, by=by)
    assert order.lines.get().set_aside == 4
    with pytest.raises(ValidationError, match="at most 0 can go"):
        adjust_lot(lot=lots[2], kind="remelted", pairs=1, reason="old", by=by)
    sound()


def test_a_box_by_count_weighs_what_its_candles_come_to(lots, by):
    box = make_seconds_box((lots[0], 9), by=by)
    assert box.weight_g == round(9 * lots[0].candle.grams_a_pair)


def test_the_same_form_twice_makes_one_box(lots, by):
    submission = uuid.uuid4()
    first = make_seconds_box((lots[0], 5), by=by, submission=submission)
    assert make_seconds_box((lots[0], 5), by=by, submission=submission) == first
    assert free(lots[0]) == [4]


@pytest.mark.parametrize(
    ("fields", "field", "words"),
    [
        ({"sold_by": "weight"}, "weight", "What do the scales say"),
        ({"sold_by": "weight", "weight_g": 3000, "sure": False}, "weight", "or tick that the scales are right"),
        ({"sold_by": "weight", "weight_g": 0}, "weight", "weighs something"),
        ({"sold_by": "weight", "weight_g": 11_800}, "kind", "With the box it is 12.050 kg"),
        ({"price": Decimal("0.05")}, "price", "At least 0.06"),
        ({"sold_by": "guess"}, "sold_by", "By count or by weight"),
    ],
)
def test_a_box_that_cannot_be_is_refused_at_its_field(lots, by, fields, field, words):
    with pytest.raises(ValidationError) as refused:
        make_seconds_box((lots[1], 6), by=by, **fields)
    assert words in " ".join(refused.value.message_dict[field])
    assert free(lots[1]) == [6]


def test_more_than_is_free_firsts_and_nothing_are_refused(lots, by, taper):
    with pytest.raises(ValidationError) as refused:
        make_seconds_box((lots[0], 10), (lots[1], 7), by=by)
    assert refused.value.message_dict == {"S1": ["Only 9 are free."], "S2": ["Only 6 are free."]}
    with pytest.raises(ValidationError, match="Only lots of seconds"):
        make_seconds_box((make_lot(taper, 9), 1), by=by)
    with pytest.raises(ValidationError, match="at least one lot"):
        make_up_box(
            contents={}, kind=BoxKind.objects.get(), sold_by="count", weight_g=None, price=None, sure=True,
            submission=uuid.uuid4(), by=by,
        )  # fmt: skip


def test_an_opened_box_gives_its_pairs_back_once(box, lots, by):
    version = box.version
    for _ in range(2):
        open_box(box=box, version=version, by=by)
    assert (state(box), free(*lots)) == (("opened", None), [9, 6, 5])
    with pytest.raises(ValidationError, match="SB-101 was opened again"):
        sell(by, [box])
    sound()


def test_a_price_of_its_own_comes_and_goes_while_it_stands_there(box, by):
    price_seconds_box(box=box, price=None, version=box.version, by=by)
    with pytest.raises(StaleVersion):
        price_seconds_box(box=box, price=Decimal(8), version=box.version, by=by)
    box.refresh_from_db()
    assert box.price is None
    sold(by, box)
    with pytest.raises(ValidationError, match="SB-101 is gone"):
        price_seconds_box(box=box, price=Decimal(8), version=box.version + 1, by=by)


def test_the_audit_finds_a_torn_box(box, lots, by):
    order = sold(by, box)
    line = order.lines.first()
    line.promises.filter(lot=lots[0]).update(pairs=5)
    SecondsBox.objects.filter(pk=box.pk).update(order=make_order(by=by))
    found = " ".join(breaches())
    assert "seconds box SB-101 holds 16 pairs" in found
    assert "of it" in found
