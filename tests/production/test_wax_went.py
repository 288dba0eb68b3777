"""Where the wax went, from the book: the balance by hand, and each vat between its levels."""

from datetime import date, datetime, timedelta
from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.domain.material_lots import adjust_material_lot
from production.domain.frames import hang_frame
from production.domain.grading import grade_frame
from production.domain.runs import begin_run
from production.domain.turns import count_turn
from production.domain.undo import last_step, undo_step
from production.queries.growing import new_frames
from production.queries.wax_balance import Span, balance_of, losses_by_vat
from production.wax_balance import Balance, taken_between
from production.wax_drawn import frame_grams
from tests.factories import make_candle, make_colour, make_person, make_vat, make_wax
from tests.factories.floor import make_carousel, make_frame, make_heat, make_recipe, make_run, make_vat_reading
from tests.factories.materials import make_blend, make_material_lot
from tests.production.test_wick_ends import book

pytestmark = pytest.mark.django_db
FIRST, LAST = date(2026, 3, 2), date(2026, 3, 29)
SPAN = Span(FIRST, LAST)
A_MM = 600 * 400 * 0.78 / 1000  # grams in a millimetre of the factory's vat


def at(day, hour=12):
    return timezone.make_aware(datetime(2026, 3, day, hour))


@pytest.fixture
def candle():
    candle = make_candle(colour=make_colour())
    make_recipe(candle)
    return candle


def today_span():
    today = timezone.localdate()
    return Span(today, today)


def grade(candle, hung=24, remelt=1, seconds=3):
    frame = make_frame(candle, "off", hung=hung)
    counted = {"firsts": hung - remelt - seconds, "seconds": {"bent": seconds}, "remelt": remelt}
    return grade_frame(frame=frame, version=frame.version, **counted, by=make_person("dipper"))


def test_the_balance_by_hand(candle):
    """24 pairs of 128.64 g are 3,087 g; 23 of them candles (2,959 g), one for remelt (129 g)."""
    (wax,) = make_blend(candle.wax)
    lot = make_material_lot(wax, 10_000)
    grade(candle)
    for kind, amount in (("wasted", 100), ("recounted", 10_000 - 3_087 - 100 - 500)):
        lot.refresh_from_db()
        adjust_material_lot(lot=lot, kind=kind, amount=amount, reason="on the scales", by=make_person())
    book("weighed in", 300)
    balance = balance_of(today_span())
    assert balance == Balance(drawn=3_087, wasted=100, recounted=-500, candles=2_959, remelt=129, ends=300)
    assert balance.loss == 3_687 - 3_388


def test_what_no_lot_covered_is_drawn_all_the_same(candle):
    (wax,) = make_blend(candle.wax)
    make_material_lot(wax, 1_000)
    grade(candle)
    assert balance_of(today_span()).drawn == 3_087


def test_frames_of_a_wax_without_a_blend_are_left_out(candle):
    grade(candle)
    assert balance_of(today_span()) == Balance(0, 0, 0, 0, 0, 0)


def test_other_days_are_left_out(candle):
    make_blend(candle.wax)
    grade(candle)
    assert balance_of(SPAN) == Balance(0, 0, 0, 0, 0, 0)


def levels(vat, *rows):
    for day, hour, kind, figures in rows:
        make_vat_reading(vat, kind=kind, celsius=None, at=at(day, hour), **figures)


def mm(figure):
    return {"level_mm": Decimal(figure)}


def dipped(vat, candle, day, hung=24):
    """A frame that hung over the vat from eight to four."""
    frame = make_frame(candle, "graded", hung=hung, dips=30, off_at=at(day, 16), hard_at=at(day + 1, 16))
    make_run(vat=vat, frames=[frame], started_at=at(day, 8), ended_at=at(day, 17), wax=vat.wax, colour=vat.colour)


def at_vat(vat, span=SPAN):
    return next(row for row in losses_by_vat(span) if row.vat == vat)


def test_a_vat_that_was_read_twice_tells_its_loss(candle):
    vat = make_vat(wax=candle.wax, colour=candle.colour)
    levels(
        vat,
        (3, 7, "level", mm(25)),
        (3, 12, "top-up", {"kilograms": Decimal("1.50")}),
        (3, 18, "level", mm(35)),
    )
    dipped(vat, candle, 3)
    whole = at_vat(vat).whole
    assert whole.left == pytest.approx(10 * A_MM + 1_500)
    assert whole.taken == pytest.approx(3_087)
    assert whole.loss == pytest.approx(1_872 + 1_500 - 3_087)


def test_frames_before_and_after_are_left_out(candle):
    vat = make_vat(wax=candle.wax, colour=candle.colour)
    levels(vat, (3, 7, "level", mm(25)), (3, 18, "level", mm(35)))
    for day in (2, 3, 4):
        dipped(vat, candle, day)
    assert at_vat(vat).whole.taken == pytest.approx(3_087)


def test_between_is_only_where_no_change_over_lies_and_evening_levels_do_not_count(candle):
    vat = make_vat(wax=candle.wax, colour=candle.colour)
    levels(
        vat,
        (3, 7, "morning", mm(25)),
        (3, 17, "evening", mm(90)),
        (4, 7, "morning", mm(27)),
        (5, 7, "change-over", mm(25)),
        (6, 7, "level", mm(26)),
    )
    row = at_vat(vat)
    assert (row.stretches, row.whole.left) == (2, pytest.approx(2 * A_MM + 1 * A_MM))


def test_a_level_knows_the_wax_its_runs_dipped_in(candle):
    vat = make_vat(wax=make_wax(density_liquid=Decimal("0.700")), colour=candle.colour)
    levels(vat, (3, 7, "level", mm(25)), (3, 18, "level", mm(35)))
    dipped(vat, candle, 3)
    vat.wax = candle.wax
    vat.save()
    assert at_vat(vat).whole.left == pytest.approx(10 * 240 * 0.7)


def test_a_vat_nobody_read_tells_nothing(candle):
    vat = make_vat()
    assert (at_vat(vat).whole, at_vat(vat).stretches) == (None, 0)
    gone = make_vat(active=False)
    assert gone not in [row.vat for row in losses_by_vat(SPAN)]


def test_dips_are_counted_turn_by_turn_and_undone_ones_are_not(candle):
    make_heat(candle.wax)
    by, carousel = make_person("dipper"), make_carousel()
    vat = make_vat(wax=candle.wax, colour=candle.colour)
    frame = make_frame(candle, "threaded", hung=24)
    run = begin_run(carousel=carousel, vat=vat, turn_minutes=Decimal(4), by=by, now=at(3, 8))
    hang_frame(frame=frame, carousel=carousel, position=1, by=by, now=at(3, 8))
    for hour in (9, 10, 11, 12):
        count_turn(run=run, by=by, now=at(3, hour))
    undo_step(step=last_step(run), by=by, now=at(3, 13))
    levels(vat, (3, 7, "level", mm(25)), (3, 10, "level", mm(26)), (3, 18, "level", mm(27)))
    frame.refresh_from_db()
    assert frame.dips == 3
    row = at_vat(vat)
    grams, in_all = frame_grams(24, candle.grams_a_pair), sum(new_frames([candle.pk])[candle.pk].dips)
    assert row.stretches == 2
    assert row.whole.taken == pytest.approx(taken_between(grams, 2, 22, in_all, (0, 3)))


def test_it_asks_as_often_for_one_frame_as_for_thirty(candle, django_assert_max_num_queries):
    vat = make_vat(wax=candle.wax, colour=candle.colour)

    def queries():
        with django_assert_max_num_queries(30) as asked:
            losses_by_vat(SPAN)
            balance_of(SPAN)
        return len(asked)

    levels(vat, (3, 7, "level", mm(25)), (28, 18, "level", mm(35)))
    dipped(vat, candle, 3)
    few = queries()
    for day in range(4, 24):
        dipped(vat, make_candle(), day)
    levels(make_vat(), (3, 7, "level", mm(25)))
    assert queries() == few
    assert SPAN.moments[1] - SPAN.moments[0] > timedelta(days=27)
