"""Remelt: weighed into stock by wax and colour, and what lies for it as the book reckons."""

import uuid
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.domain.lots import adjust_lot
from inventory.models import Material, MaterialMovement
from inventory.triggers import unguard
from production.audit import breaches
from production.domain.grading import grade_frame
from production.domain.remelting import remelt_material, weigh_in_remelt
from production.models import Remelt
from production.queries.remelt import ends_remelted, lying_for_remelt, tub_of
from production.wax_balance import Tub
from tests.factories import make_candle, make_colour, make_lot, make_person, make_wax
from tests.factories.floor import make_frame
from tests.factories.materials import make_material
from tests.inventory.test_audit import Editor
from tests.production.test_wick_ends import book

pytestmark = pytest.mark.django_db
PAIR_G = 128.64  # 250 x 22/16 mm at 0.90 g/cm3


@pytest.fixture
def candle():
    return make_candle(colour=make_colour(name="Ivory"))


def weigh(candle, grams=1_000, **fields):
    values = {"wax": candle.wax, "colour": candle.colour, "submission": uuid.uuid4(), "by": make_person(), **fields}
    return weigh_in_remelt(grams=grams, **values)


def spoil(candle, remelt, hung=48):
    frame = make_frame(candle, "off", hung=hung)
    return grade_frame(
        frame=frame, version=frame.version, firsts=hung - remelt, seconds={}, remelt=remelt, by=make_person("dipper")
    )


def test_it_becomes_a_lot_of_our_own_remelt_that_costs_nothing(candle):
    row = weigh(candle, 2_500, note="strained")
    lot = row.lot
    assert (lot.material.remelt_of, lot.material.remelt_colour) == (candle.wax, candle.colour)
    assert (lot.on_hand, lot.amount, lot.price, lot.supplier) == (2_500, 2_500, 0, None)
    assert lot.material.name == f"Own remelt, {candle.wax}, ivory"
    assert MaterialMovement.objects.get().kind == "remelted"
    assert (row.grams, row.note, row.left) == (2_500, "strained", None)


def test_the_material_is_made_once_a_wax_and_colour(candle):
    other = make_candle(wax=make_wax(), colour=candle.colour)
    lots = [weigh(each).lot for each in (candle, candle, other)]
    assert [lot.material_id for lot in lots[:2]] == [lots[0].material_id] * 2
    assert lots[2].material_id != lots[0].material_id


def test_a_material_that_is_called_the_same_does_not_hinder_it(candle):
    make_material(name=f"Own remelt, {candle.wax}, ivory")
    with transaction.atomic():
        assert remelt_material(candle.wax, candle.colour).name == (
            f"Own remelt, {candle.wax}, ivory ({candle.wax_id}-{candle.colour_id})"
        )
    wordy = make_candle(wax=make_wax(name="W" * 40), colour=make_colour(name="C" * 40))
    assert len(weigh(wordy).lot.material.name) == 80


def test_sent_twice_it_is_weighed_once(candle):
    submission = uuid.uuid4()
    assert weigh(candle, submission=submission) == weigh(candle, submission=submission)
    assert Remelt.objects.count() == MaterialMovement.objects.count() == 1


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"grams": 0}, "grams"),
        ({"grams": 500_001}, "grams"),
        ({"left": -1}, "left"),
        ({"left": 500_001}, "left"),
        ({"note": "x" * 201}, "note"),
    ],
)
def test_what_cannot_be_is_refused_and_makes_nothing(candle, fields, field):
    with pytest.raises(ValidationError) as refusal:
        weigh(candle, **fields)
    assert list(refusal.value.message_dict) == [field]
    assert not Material.objects.exists()


def test_rows_cannot_be_changed(candle):
    row = weigh(candle)
    with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
        Remelt.objects.filter(pk=row.pk).update(left=5)


def test_what_lies_there_is_what_was_spoiled_less_what_was_weighed(candle):
    spoil(candle, 5)
    adjust_lot(lot=make_lot(candle, 20), kind="remelted", pairs=3, reason="bent", seen=20, by=make_person())
    make_lot(make_candle(wax=candle.wax, colour=make_colour()), 20)
    weigh(candle, 400)
    assert tub_of(candle.wax, candle.colour) == Tub(0, round(5 * PAIR_G), round(3 * PAIR_G), 400)
    assert [row.tub.left for row in lying_for_remelt()] == [643 + 386 - 400]


def test_it_begins_anew_where_somebody_looked(candle):
    spoil(candle, 5)
    weigh(candle, 400, left=150)
    assert tub_of(candle.wax, candle.colour) == Tub(begun=150)
    spoil(candle, 2)
    weigh(candle, 100)
    assert tub_of(candle.wax, candle.colour) == Tub(150, round(2 * PAIR_G), 0, 100)


def test_another_colours_look_says_nothing_of_this_one(candle):
    spoil(candle, 5)
    weigh(make_candle(wax=candle.wax, colour=make_colour()), left=0)
    assert tub_of(candle.wax, candle.colour).graded == 643


def test_wick_ends_are_told_apart_since_nobody_knows_their_colour():
    book("weighed in", 3_000)
    book("remelted", 1_200)
    assert ends_remelted() == 1_200
    assert lying_for_remelt() == []


def test_it_asks_as_often_for_one_colour_as_for_ten(candle, django_assert_num_queries):
    spoil(candle, 5)
    with django_assert_num_queries(7):
        lying_for_remelt()
    for _ in range(9):
        other = make_candle(wax=make_wax(), colour=make_colour())
        spoil(other, 3)
        weigh(other)
    with django_assert_num_queries(7):
        assert len(lying_for_remelt()) == 10


def test_remelt_weighed_today_is_in_a_lot_of_today(candle):
    assert weigh(candle).lot.came_on == timezone.localdate()
    assert timezone.now() - weigh(candle).at < timedelta(minutes=1)


def test_the_audit_names_a_remelt_that_is_not_what_its_lot_is(candle):
    row = weigh(candle, 2_500)
    assert list(breaches()) == []
    unguard(Editor, "production_remelt")
    Remelt.objects.filter(pk=row.pk).update(grams=2_400)
    assert [line for line in breaches() if "2400 g of" in line and f"lot {row.lot} is 2500 g" in line]
