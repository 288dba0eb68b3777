"""The season's sums, without a database."""

from datetime import date
from math import exp, log, sqrt

import pytest

from orders.season.before_rows import read_rows
from orders.season.booking_curve import curve_of, side_by_side
from orders.season.by_candle import in_whole_pairs, outlook_by_candle, shares_of
from orders.season.dates import season_in, season_of, years_on
from orders.season.projection import Booked, Past, growth_on, project
from orders.season.words import candles_sentence, not_yet_sentence, season_sentence

TUESDAY, THURSDAY = 1, 3


def test_the_last_van_comes_before_christmas_eve_on_a_day_somebody_works():
    assert season_in(2026, 9, (TUESDAY, THURSDAY)).last_van == date(2026, 12, 22)  # the 24th is a Thursday
    assert season_in(2026, 9, (TUESDAY, THURSDAY), {date(2026, 12, 22)}).last_van == date(2026, 12, 17)
    assert season_in(2026, 9, ()).last_van == date(2026, 12, 23)


def test_the_owner_names_another_van_for_its_own_year():
    named = date(2026, 12, 17)
    assert season_in(2026, 9, (TUESDAY,), (), named).last_van == named
    assert season_in(2025, 9, (TUESDAY,), (), named).last_van == date(2025, 12, 23)


@pytest.mark.parametrize(("today", "year"), [("2026-01-05", 2026), ("2026-12-24", 2026), ("2026-12-25", 2027)])
def test_after_christmas_eve_the_next_season_is_meant(today, year):
    season = season_of(date.fromisoformat(today), 9, ())
    assert (season.year, season.begins, season.ends) == (year, date(year, 9, 1), date(year, 12, 24))


def test_the_same_day_of_another_year():
    assert years_on(date(2026, 11, 29), -1) == date(2025, 11, 29)
    assert years_on(date(2028, 2, 29), -1) == date(2027, 2, 28)
    assert years_on(date(2028, 2, 29), -4) == date(2024, 2, 29)


def test_a_curve_adds_up():
    curve = curve_of([(date(2026, 9, 3), 24), (date(2026, 9, 1), 12), (date(2026, 9, 3), 6)])
    assert [curve.by(date(2026, 9, day)) for day in (1, 2, 3, 9)] == [12, 12, 42, 42]
    assert (curve.total, curve.by(date(2026, 8, 31))) == (42, 0)
    assert curve_of([]).total == 0


def test_days_to_come_are_not_told():
    now, before = curve_of([(date(2026, 9, 2), 10)]), curve_of([(date(2025, 9, 9), 4)])
    days = [(date(2026, 9, day), date(2025, 9, day)) for day in (7, 10, 21)]
    rows = side_by_side(now, before, days, date(2026, 9, 10))
    assert [(row.now, row.before) for row in rows] == [(10, 0), (10, 4), (None, 4)]


def test_growth_by_hand_with_and_without_a_prior():
    """ln(120 / 100), variances 2/9 and 1/2 of four and two alike shops' lumps; the prior weighs 0.25 squared."""
    now, early = Booked.of([40, 40, 40]), Booked.of([50, 50])
    mean, variance = growth_on(now, early, None)
    assert (mean, variance) == (pytest.approx(log(1.2)), pytest.approx(1 / 3 + 1 / 2))
    weight = 0.0625 / (0.0625 + 5 / 6)
    assert growth_on(now, early) == (pytest.approx(weight * log(1.2)), pytest.approx(weight * 5 / 6))


def test_nothing_booked_is_as_last_year():
    assert growth_on(Booked.of([]), Booked.of([30])) == (0.0, 0.0625)
    with pytest.raises(ValueError, match="no ratio"):
        growth_on(Booked.of([]), Booked.of([30]), None)
    found = project(Booked.of([]), [Past(Booked.of([30]), Booked.of([20, 20]))])
    assert (found.booked, found.rest, found.total) == (0, 40, 40)


def test_a_projection_by_hand():
    """600 after 1,200 by this day; 1,320 are booked: 660 more without a prior. Range of 8 in 10: 1.2816 sigmas."""
    now, past = Booked.of([660, 660]), Past(Booked.of([600, 600]), Booked.of([300, 300]))
    found = project(now, [past], prior_sd=None, shape_sd=0.3)
    sigma = sqrt(0.5 + 0.5 + 2 * 0.5 + 0.09)
    assert (found.rest, found.sigma) == (660, pytest.approx(sigma))
    assert (found.low, found.high) == (round(660 * exp(-1.2816 * sigma)), round(660 * exp(1.2816 * sigma)))
    assert found.range == (1320 + found.low, 1320 + found.high)


def test_many_small_shops_are_known_better_than_few_large_ones():
    def of(shops: int):
        part = Booked.of([1200 // shops] * shops)
        return project(part, [Past(part, part)]).sigma

    assert of(60) < of(6) < of(2)


def test_seasons_that_disagree_widen_the_range_and_count_alike():
    now = Booked.of([100] * 10)
    pasts = [Past(Booked.of([100] * 10), Booked.of([late] * 10)) for late in (20, 180)]
    alone, both = project(now, pasts[:1]), project(now, pasts)
    assert both.rest == round(sqrt(200 * 1800))
    assert both.sigma > alone.sigma


def test_no_season_before_projects_nothing():
    assert project(Booked.of([10]), []) is None
    assert project(Booked.of([10]), [Past(Booked.of([]), Booked.of([]))]) is None
    ended = project(Booked.of([10]), [Past(Booked.of([10]), Booked.of([]))])
    assert (ended.rest, ended.range) == (0, (10, 10))


def test_the_rest_by_candle_adds_up_and_leaves_out_what_is_no_longer_sold():
    whole = project(Booked.of([100] * 9), [Past(Booked.of([100] * 9), Booked.of([33] * 9))])
    rows = outlook_by_candle(
        whole, now={1: 600, 2: 300}, early={1: 500, 3: 400}, late={1: 100, 3: 197}, sold={1, 2, 4}, line=12.0
    )
    by = {row.candle: row for row in rows}
    assert sum(row.rest for row in rows) == whole.rest == 297
    # Of last year's later orders only candle 1 is still sold; of this year's it is two thirds.
    assert by[1].share == pytest.approx(0.5 + 1 / 3)
    assert (by[3].rest, by[3].low, by[3].high, by[3].last) == (0, 0, 0, 597)
    assert all(row.low <= row.rest <= row.high for row in rows)
    wide = {row.candle: row.high / max(1, row.low) for row in rows if row.rest}
    assert wide[2] > wide[1] > whole.high / whole.low


def test_shares_where_one_side_knows_nothing():
    assert shares_of({}, {1: 3, 2: 1}, {1, 2}) == {1: 0.75, 2: 0.25}
    assert shares_of({1: 5}, {}, {2}) == {}


def test_rounding_gives_the_whole():
    assert in_whole_pairs({1: 0.5, 2: 0.5, 3: 1.0}, 2) == {1: 1, 2: 0, 3: 1}


def test_rows_from_before_are_read_and_a_heading_is_passed():
    first, second = "3/11/2025\tossel gifts\tiv250\t1,200\t2025-11-20", "2025-11-04\tOssel Gifts\tIV250\t6"
    text = f"Day\tShop\tCandle\tPairs\tSent\n{first}\n{second}"
    rows, faults = read_rows(text, {"Ossel Gifts": 7}, {"IV250": 3})
    assert faults == []
    assert [(row.line, row.shop, row.candle, row.pairs) for row in rows] == [(2, 7, 3, 1200), (3, 7, 3, 6)]
    assert [row.ship_by for row in rows] == [date(2025, 11, 20), date(2025, 11, 13)]


def test_all_faults_of_rows_are_told_at_once_with_the_nearest_name():
    text = "2025-11-03;Osel Gifts;IV250;6\n31/2/2025;Ossel Gifts;IV250;6\n2025-11-03;Ossel Gifts;IV25;none\nx 1;y"
    rows, faults = read_rows(text, {"Ossel Gifts": 7}, {"IV250": 3})
    assert rows == []
    assert faults == [
        "Line 1: no shop is called “Osel Gifts”; is it Ossel Gifts?",
        "Line 2: “31/2/2025” is no day: 2025-11-03 or 3/11/2025.",
        "Line 3: “none” is no number of pairs from 1 to 100,000.",
        "Line 4: 2 cells; there are to be four, or five: day, shop, candle, pairs, sent by.",
    ]


@pytest.mark.parametrize("text", ["", " \n ", "Day,Shop,Candle,Pairs", "\x00"])
def test_nothing_pasted_is_a_fault(text):
    assert read_rows(text, {}, {}) == ([], ["There is no row."])


def test_the_season_in_a_sentence():
    found = project(Booked.of([660, 660]), [Past(Booked.of([600, 600]), Booked.of([300, 300]))], shape_sd=0.1)
    said = season_sentence(1320, 1200, found)
    assert said.startswith(
        "1,320 pairs are booked for Christmas, 10 % more than by this day last year; about 1,900 in"
    )
    assert season_sentence(1, 0, None).startswith("1 pair is booked for Christmas; there is no season before")
    assert "where nothing was by this day" in season_sentence(5, 0, found)
    assert "as many as by this day" in season_sentence(600, 600, found)


def test_candles_and_shops_in_a_sentence():
    found = project(Booked.of([900]), [Past(Booked.of([900]), Booked.of([450]))])
    rows = [("Ivory taper", 300, 10), ("Moss stub", 100, 900), ("Plum dinner", 50, 0), ("Rose dinner", 0, 1)]
    said = candles_sentence(rows, found)
    assert (
        said
        == "Of about 450 pairs still to come most will be Ivory taper (300), Moss stub (100) and Plum dinner (50)."
    )
    assert candles_sentence(rows[:1], None) == "Most is booked of Ivory taper (10)."
    assert not_yet_sentence(0, 0, 0) == "Every shop that ordered last Christmas has ordered again."
    assert not_yet_sentence(1, 48, 1).endswith("has not ordered yet; 1 of them had by this day last year.")
