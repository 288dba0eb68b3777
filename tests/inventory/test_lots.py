"""The rules of lots and movements, by the domain and by the bare tables."""

import uuid
from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.db.models import Sum
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from inventory.domain.lot_codes import next_code
from inventory.domain.lots import (
    adjust_lot,
    free_pairs,
    hold_pairs,
    lock_lots,
    move_pairs,
    open_lot,
    regrade_pairs,
    send_pairs,
    shelve_lot,
)
from inventory.models import Lot, Movement, Record
from tests.factories import make_candle, make_lot, make_person, make_shelf

pytestmark = pytest.mark.django_db
DAY = date(2026, 11, 20)


@pytest.fixture
def by():
    return make_person("packer")


def opened(by, **fields):
    values = {"grade": "firsts", "made_on": DAY, "pairs": 24, "kind": "counted in", "reason": "found", **fields}
    return open_lot(candle=values.pop("candle", None) or make_candle(), by=by, **values)


def stands(lot):
    """(on hand, set aside, sum of movements) as the tables have it now."""
    lot = Lot.objects.get(pk=lot.pk)
    return lot.on_hand, lot.set_aside, lot.movements.aggregate(sum=Sum("pairs"))["sum"] or 0


def refused_at(field, action, **arguments):
    with pytest.raises(ValidationError) as caught:
        action(**arguments)
    assert field in caught.value.message_dict


def test_open_lot_writes_lot_movement_and_record_together(by):
    shelf = make_shelf()
    lot = opened(by, candle=make_candle(shelf=shelf), pairs=30, reason="under the stairs")
    assert stands(lot) == (30, 0, 30)
    assert lot.shelf == shelf
    movement = lot.movements.get()
    assert (movement.kind, movement.reason, movement.person) == ("counted in", "under the stairs", by)
    assert Record.objects.get(subject="lot", subject_id=lot.pk).person == by


def test_codes_run_by_grade_and_day(by):
    candle = make_candle()
    codes = [opened(by, candle=candle).code for _ in range(2)]
    codes.append(opened(by, candle=candle, grade="seconds", fault="bent").code)
    codes.append(opened(by, candle=candle, made_on=DAY - timedelta(days=1)).code)
    assert codes == ["F26-1120-01", "F26-1120-02", "S26-1120-01", "F26-1119-01"]


def test_codes_go_on_past_99_and_step_over_words_typed_by_hand(by):
    make_lot(code="F26-1120-99")
    make_lot(code="F26-1120-TOP")
    assert opened(by).code == "F26-1120-100"


@pytest.mark.sqlite
def test_the_next_code_is_found_in_the_index_not_by_reading_every_lot(by):
    with CaptureQueriesContext(connection) as looked:
        next_code("firsts", DAY)
    with connection.cursor() as cursor:
        cursor.execute(f"EXPLAIN QUERY PLAN {looked[0]['sql']}")
        steps = [row[-1] for row in cursor.fetchall()]
    assert any("code>? AND code<?" in step for step in steps), steps


def test_code_taken_meanwhile_is_asked_for_again(by, monkeypatch):
    make_lot(code="F26-1120-01")
    stale = iter(["F26-1120-01", "F26-1120-02"])
    looks = []

    def taken_code(grade, made_on):
        looks.append(grade)
        return next(stale)

    monkeypatch.setattr("inventory.domain.lots.next_code", taken_code)
    assert opened(by).code == "F26-1120-02"
    assert len(looks) == 2


@pytest.mark.parametrize(
    ("field", "fields"),
    [
        ("pairs", {"pairs": 0}),
        ("pairs", {"pairs": -3}),
        ("pairs", {"pairs": 10**9}),
        ("reason", {"reason": "  "}),
        ("reason", {"reason": "x" * 201}),
        ("made_on", {"made_on": date(2999, 1, 1)}),
        ("kind", {"kind": "sent"}),
        ("grade", {"grade": "thirds"}),
        ("fault", {"fault": "bent"}),
        ("fault", {"grade": "seconds"}),
        ("fault", {"grade": "seconds", "fault": "x" * 41}),
        ("code", {"code": "F26-TAKEN"}),
        ("code", {"code": "X" * 21}),
    ],
)
def test_open_lot_refuses_at_the_field_and_writes_nothing(by, field, fields):
    make_lot(code="F26-TAKEN", pairs=0)
    refused_at(field, lambda: opened(by, **fields))
    assert Lot.objects.count() == 1
    assert not Movement.objects.exists()


def test_same_submission_moves_pairs_once(by):
    candle, token = make_candle(), uuid.uuid4()
    lot = opened(by, candle=candle, submission=token)
    assert opened(by, candle=candle, submission=token) == lot
    token = uuid.uuid4()
    for _ in range(2):
        adjust_lot(lot=lot, kind="damaged", pairs=4, reason="fell", by=by, submission=token)
    assert stands(lot) == (20, 0, 20)
    token = uuid.uuid4()
    seconds = [regrade_pairs(lot=lot, pairs=5, fault="bent", reason="seen", by=by, submission=token) for _ in range(2)]
    assert seconds[0] == seconds[1]
    assert stands(lot) == (15, 0, 15)
    assert Lot.objects.count() == 2


@pytest.mark.parametrize(
    ("kind", "pairs", "left"), [("damaged", 4, 20), ("remelted", 24, 0), ("returned", 6, 30), ("recounted", 23, 23)]
)
def test_adjust_lot_moves_the_right_way(by, kind, pairs, left):
    lot = make_lot(pairs=24)
    movement = adjust_lot(lot=lot, kind=kind, pairs=pairs, reason="looked", by=by)
    assert stands(lot) == (left, 0, left)
    assert (movement.kind, movement.pairs) == (kind, left - 24)


@pytest.mark.parametrize(
    ("field", "change"),
    [
        ("kind", {"kind": "sent"}),
        ("kind", {"kind": "made"}),
        ("reason", {"reason": ""}),
        ("pairs", {"pairs": 0}),
        ("pairs", {"pairs": -1}),
        ("pairs", {"pairs": 13}),
        ("pairs", {"pairs": 10**9, "kind": "returned"}),
        ("pairs", {"pairs": 1_000_000, "kind": "returned"}),
        ("pairs", {"pairs": 24, "kind": "recounted"}),
        ("pairs", {"pairs": 11, "kind": "recounted"}),
        ("pairs", {"pairs": -1, "kind": "recounted"}),
        ("pairs", {"pairs": 20, "kind": "recounted", "seen": 23}),
    ],
)
def test_adjust_lot_refuses_at_the_field_and_moves_nothing(by, field, change):
    lot = make_lot(pairs=24, set_aside=12)
    refused_at(field, adjust_lot, **{"lot": lot, "kind": "damaged", "pairs": 2, "reason": "fell", "by": by, **change})
    assert stands(lot) == (24, 12, 24)


def test_move_pairs_refuses_a_sign_that_does_not_fit(by):
    lot = make_lot(pairs=24)
    refused_at("pairs", move_pairs, lot=lot, kind="returned", pairs=-2, reason="", by=by)
    refused_at("pairs", move_pairs, lot=lot, kind="damaged", pairs=2, reason="", by=by)


def test_regrade_makes_a_lot_of_seconds_that_answers(by):
    shelf = make_shelf()
    lot = make_lot(pairs=24, set_aside=12, dip_run="R7", shelf=shelf)
    seconds = regrade_pairs(lot=lot, pairs=12, fault="drip tail", reason="seen at packing", by=by)
    assert stands(lot) == (12, 12, 12)
    assert stands(seconds) == (12, 0, 12)
    assert (seconds.grade, seconds.fault, seconds.made_on, seconds.dip_run) == (
        "seconds",
        "drip tail",
        lot.made_on,
        "R7",
    )
    assert seconds.shelf == shelf
    out, into = lot.movements.last(), seconds.movements.get()
    assert (out.kind, out.pairs, out.reference) == ("regraded", -12, seconds.code)
    assert (into.kind, into.pairs, into.reference) == ("regraded", 12, lot.code)


@pytest.mark.parametrize(
    ("field", "change"),
    [("pairs", {"pairs": 13}), ("pairs", {"pairs": 0}), ("fault", {"fault": " "}), ("reason", {"reason": ""})],
)
def test_regrade_refuses_and_leaves_no_lot_behind(by, field, change):
    lot = make_lot(pairs=24, set_aside=12)
    refused_at(field, regrade_pairs, **{"lot": lot, "pairs": 2, "fault": "bent", "reason": "seen", "by": by, **change})
    assert Lot.objects.count() == 1
    assert stands(lot) == (24, 12, 24)


def test_seconds_never_become_firsts(by):
    lot = make_lot(grade="seconds", fault="bent")
    with pytest.raises(ValidationError, match="Only firsts"):
        regrade_pairs(lot=lot, pairs=1, fault="bent", reason="seen", by=by)


def test_shelve_lot_is_on_record_and_moves_no_pairs(by):
    lot, shelf = make_lot(), make_shelf(code="B7")
    shelve_lot(lot=lot, shelf=shelf, by=by)
    shelve_lot(lot=lot, shelf=shelf, by=by)
    assert Lot.objects.get(pk=lot.pk).shelf == shelf
    assert Record.objects.get(subject="lot", subject_id=lot.pk).what == "Moved from no shelf to B7."
    assert stands(lot) == (48, 0, 48)


def test_hold_free_and_send_keep_the_counters_together(by):
    lot = make_lot(pairs=24)
    with transaction.atomic():
        lot = lock_lots([lot.pk])[lot.pk]
        hold_pairs([(lot, 10)])
        free_pairs(lot, 4)
        send_pairs([(lot, 6)], reference="DN-1", by=by)
    assert stands(lot) == (18, 0, 18)


@pytest.mark.parametrize("pairs", [0, -1, 25])
def test_hold_free_and_send_refuse_what_is_not_there(by, pairs):
    lot = make_lot(pairs=24)
    for action in (
        lambda: hold_pairs([(lot, pairs)]),
        lambda: free_pairs(lot, pairs),
        lambda: send_pairs([(lot, pairs)], reference="DN-1", by=by),
    ):
        with pytest.raises(ValidationError, match="pairs of"):
            action()
    assert stands(lot) == (24, 0, 24)


@pytest.mark.parametrize(
    "fields",
    [
        {"set_aside": 49},
        {"set_aside": -1},
        {"on_hand": -1},
        {"grade": "thirds"},
        {"grade": "firsts", "fault": "bent"},
    ],
)
def test_bare_lot_the_database_refuses(fields):
    values = {"code": "X1", "candle": make_candle(), "grade": "seconds", "made_on": DAY, "on_hand": 48, **fields}
    with pytest.raises(IntegrityError), transaction.atomic():
        Lot.objects.create(**values)


@pytest.mark.parametrize(
    ("kind", "pairs"),
    [("made", -1), ("counted in", 0), ("returned", -2), ("sent", 1), ("damaged", 3), ("recounted", 0), ("lost", -1)],
)
def test_bare_movement_whose_sign_does_not_fit_the_database_refuses(by, kind, pairs):
    lot = make_lot()
    with pytest.raises(IntegrityError), transaction.atomic():
        Movement.objects.create(lot=lot, kind=kind, pairs=pairs, person=by, at=timezone.now())


def test_bare_submission_used_twice_the_database_refuses(by):
    lot, token = make_lot(), uuid.uuid4()
    values = {"lot": lot, "kind": "made", "pairs": 1, "person": by, "at": timezone.now(), "submission": token}
    Movement.objects.create(**values)
    with pytest.raises(IntegrityError), transaction.atomic():
        Movement.objects.create(**values)


@pytest.mark.parametrize("model", [Movement, Record])
def test_movements_and_records_are_append_only(by, model):
    lot = opened(by)
    rows = model.objects.all()
    assert rows.exists()
    for action in (
        lambda: rows.update(person=make_person()),
        rows.delete,
        lambda: rows.first().save(),
        lambda: rows.first().delete(),
    ):
        with pytest.raises(IntegrityError, match="append-only"), transaction.atomic():
            action()
    assert stands(lot) == (24, 0, 24)
