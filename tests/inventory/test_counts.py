"""Stock counts: the sheet, typing in, differences against the moment of counting, posting once."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.audit import breaches
from inventory.domain.counts import discard_count, post_count, start_count, type_in
from inventory.domain.lots import adjust_lot
from inventory.domain.versions import StaleVersion
from inventory.models import Lot, Movement, Record, StockCount
from inventory.queries.counts import differences
from tests.factories import make_lot, make_person, make_shelf
from tests.inventory.counting import counting, on_hand, typed

pytestmark = pytest.mark.django_db


def test_sheet_holds_the_lots_of_the_shelf_with_what_the_book_says(by):
    shelf, other = make_shelf(), make_shelf()
    lot = make_lot(pairs=24, shelf=shelf)
    make_lot(pairs=0, shelf=shelf)
    make_lot(pairs=9, shelf=other)
    count = start_count(by=by, shelf=shelf)
    assert [(row.lot, row.expected, row.counted) for row in count.rows.all()] == [(lot, 24, None)]
    assert start_count(by=by).rows.count() == 2


def test_one_open_sheet_a_place(by):
    shelf = make_shelf()
    make_lot(shelf=shelf)
    for place in (shelf, None):
        first = start_count(by=by, shelf=place)
        with pytest.raises(ValidationError, match=f"Count {first.pk}, begun by"):
            start_count(by=by, shelf=place)
        with pytest.raises(IntegrityError), transaction.atomic():
            StockCount.objects.create(started_at=timezone.now(), started_by=by, shelf=place)


def test_empty_shelf_has_nothing_to_count(by):
    with pytest.raises(ValidationError, match="nothing to count"):
        start_count(by=by, shelf=make_shelf())


def test_posting_books_the_differences_and_nothing_else(by):
    short, right, uncounted = make_lot(pairs=24), make_lot(pairs=30), make_lot(pairs=12)
    count = start_count(by=by)
    rows = {row.lot: row for row in count.rows.all()}
    count = typed(count, {rows[short].pk: 22, rows[right].pk: 30}, by)
    assert on_hand(short) == 24
    count = post_count(count=count, version=count.version, by=by)
    assert [on_hand(lot) for lot in (short, right, uncounted)] == [22, 30, 12]
    movement = Movement.objects.get(kind="recounted")
    assert (movement.lot, movement.pairs, movement.reference, movement.person) == (short, -2, str(count), by)
    assert movement.reason == "Counted 22, the book said 24."
    assert (count.posted_by, count.posted_at is not None) == (by, True)
    assert list(breaches()) == []


def test_nought_counted_empties_a_lot_and_found_pairs_come_in(by):
    gone, more = make_lot(pairs=24), make_lot(pairs=24)
    count = start_count(by=by)
    rows = {row.lot: row.pk for row in count.rows.all()}
    count = typed(count, {rows[gone]: 0, rows[more]: 25}, by)
    post_count(count=count, version=count.version, by=by)
    assert (on_hand(gone), on_hand(more)) == (0, 25)


def test_pairs_that_moved_before_the_counting_are_compared(by, clock):
    lot = make_lot(pairs=24)
    count, row = counting(lot, by)
    clock(10)
    adjust_lot(lot=lot, kind="damaged", pairs=4, reason="fell", by=by)
    counted_at = clock(20)
    typed(count, {row.pk: 20}, by, counted_at)
    count.refresh_from_db()
    (found,) = differences(count)
    assert (found.book, found.difference) == (20, 0)


def test_pairs_that_moved_after_the_counting_are_not_counted_twice(by, clock):
    lot = make_lot(pairs=24)
    count, row = counting(lot, by)
    counted_at = clock(20)
    clock(30)
    adjust_lot(lot=lot, kind="damaged", pairs=4, reason="fell", by=by)
    clock(40)
    count = typed(count, {row.pk: 23}, by, counted_at)
    (found,) = differences(count)
    assert (found.book, found.difference, found.left) == (24, -1, 19)
    assert [movement.pairs for movement in found.since] == [-4]
    clock(50)
    post_count(count=count, version=count.version, by=by)
    assert on_hand(lot) == 19


def test_two_sheets_that_saw_the_same_gap_close_it_once(by, clock):
    shelf = make_shelf()
    lot = make_lot(pairs=24, shelf=shelf)
    first, second = start_count(by=by), start_count(by=by, shelf=shelf)
    counted_at = clock(10)
    first = typed(first, {first.rows.get().pk: 22}, by, counted_at)
    second = typed(second, {second.rows.get().pk: 22}, by, counted_at)
    clock(20)
    post_count(count=first, version=first.version, by=by)
    clock(30)
    post_count(count=second, version=second.version, by=by)
    assert on_hand(lot) == 22
    assert Movement.objects.filter(kind="recounted").count() == 1


def test_posted_sheet_goes_on_showing_what_was_posted(by, clock):
    lot = make_lot(pairs=24)
    count, row = counting(lot, by)
    clock(10)
    count = typed(count, {row.pk: 22}, by)
    clock(20)
    count = post_count(count=count, version=count.version, by=by)
    clock(30)
    adjust_lot(lot=lot, kind="damaged", pairs=4, reason="fell", by=by)
    (found,) = differences(count)
    assert (found.book, found.counted, found.difference, found.since) == (24, 22, -2, [])


def test_posting_refuses_what_would_fall_below_set_aside_and_keeps_everything(by):
    promised, other = make_lot(pairs=24, set_aside=20, code="L-1"), make_lot(pairs=24)
    count = start_count(by=by)
    rows = {row.lot: row.pk for row in count.rows.all()}
    count = typed(count, {rows[promised]: 19, rows[other]: 1}, by)
    with pytest.raises(ValidationError) as caught:
        post_count(count=count, version=count.version, by=by)
    assert caught.value.messages == [
        "L-1: 19 pairs would be left, but 20 are set aside. Count it again, or release 1 first."
    ]
    count.refresh_from_db()
    assert count.posted_at is None
    assert sorted(count.rows.values_list("counted", flat=True)) == [1, 19]
    assert (on_hand(promised), on_hand(other)) == (24, 24)


def test_count_is_posted_once_and_closed_then(by):
    lot = make_lot(pairs=24)
    count, row = counting(lot, by)
    count = typed(count, {row.pk: 22}, by)
    post_count(count=count, version=count.version, by=by)
    count.refresh_from_db()
    for action in (
        lambda: post_count(count=count, version=count.version, by=by),
        lambda: typed(count, {row.pk: 1}, by),
        lambda: discard_count(count=count, version=count.version, by=by),
    ):
        with pytest.raises(ValidationError, match="was posted by"):
            action()
    assert on_hand(lot) == 22


def test_nothing_typed_in_is_not_posted(by):
    count, _ = counting(make_lot(), by)
    with pytest.raises(ValidationError, match="Nothing has been typed in"):
        post_count(count=count, version=1, by=by)


def test_posting_means_the_figures_that_were_seen(by):
    lot = make_lot(pairs=24)
    count, row = counting(lot, by)
    seen = typed(count, {row.pk: 22}, by).version
    typed(count, {row.pk: 2}, make_person("packer"))
    for action in (post_count, discard_count):
        with pytest.raises(StaleVersion):
            action(count=count, version=seen, by=by)
    assert on_hand(lot) == 24


@pytest.mark.parametrize("pairs", [-1, 10**9])
def test_type_in_refuses_absurd_pairs(by, pairs):
    count, row = counting(make_lot(), by)
    with pytest.raises(ValidationError, match="Between 0 and"):
        typed(count, {row.pk: pairs}, by)


@pytest.mark.parametrize("minutes", [-1, 600])
def test_counting_lies_between_the_sheet_and_now(by, clock, minutes):
    count, row = counting(make_lot(), by)
    with pytest.raises(ValidationError) as caught:
        typed(count, {row.pk: 1}, by, timezone.now() + timedelta(minutes=minutes))
    assert "counted_at" in caught.value.message_dict


def test_rows_of_another_sheet_are_refused(by):
    shelf = make_shelf()
    make_lot(shelf=shelf)
    count, other = start_count(by=by), start_count(by=by, shelf=shelf)
    with pytest.raises(ValidationError, match="No such row"):
        typed(count, {other.rows.get().pk: 1}, by)


def test_lot_found_off_the_sheet_joins_it(by, clock):
    shelf, lot, stray = make_shelf(), make_lot(), make_lot(pairs=12)
    Lot.objects.filter(pk=lot.pk).update(shelf=shelf)
    count = start_count(by=by, shelf=shelf)
    clock(10)
    adjust_lot(lot=stray, kind="damaged", pairs=2, reason="fell", by=by)
    clock(20)
    now = timezone.now()
    count = type_in(count=count, version=1, counted_at=now, counted={}, found=[(stray, 9)], by=by)
    row = count.rows.get(lot=stray)
    assert (row.expected, row.counted) == (12, 9)
    with pytest.raises(ValidationError, match="on the sheet already"):
        type_in(count=count, version=2, counted_at=now, counted={}, found=[(stray, 9)], by=by)
    post_count(count=count, version=2, by=by)
    assert on_hand(stray) == 9


def test_sheet_thrown_away_stays_on_record(by):
    count, _ = counting(make_lot(), by)
    number = count.pk
    discard_count(count=count, version=1, by=by)
    assert not StockCount.objects.exists()
    assert "thrown away" in Record.objects.filter(subject="count", subject_id=number).first().what


@pytest.mark.parametrize("fields", [{"posted_at": timezone.now()}, {"posted_by": True}])
def test_bare_count_posted_by_nobody_or_never_the_database_refuses(by, fields):
    if "posted_by" in fields:
        fields = {"posted_by": by}
    with pytest.raises(IntegrityError), transaction.atomic():
        StockCount.objects.create(started_at=timezone.now(), started_by=by, **fields)
