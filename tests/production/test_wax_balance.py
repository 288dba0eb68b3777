"""Where the wax went: the sums by themselves, and their sentences."""

from datetime import UTC, date, datetime, timedelta

import pytest

from production.balance_words import balance_headline, balance_lines, balance_reason, left_differs, remelt_headline
from production.wax_balance import (
    FILLED,
    READ,
    TOP_UP,
    At,
    Balance,
    Take,
    Tub,
    grams_in,
    in_all,
    stretches,
    taken_between,
)
from production.wax_use import Bath

BATH = Bath(depth_mm=400, area_mm2=100_000, level_mm=25, keep_mm=25, liquid_density=0.8)  # 80 g a millimetre
NOON = datetime(2026, 11, 2, 12, tzinfo=UTC)
FIRST, LAST = date(2026, 11, 2), date(2026, 11, 29)


def at(hours):
    return NOON + timedelta(hours=hours)


def test_a_vat_holds_nothing_below_its_bottom():
    assert grams_in(25, BATH) == 30_000
    assert grams_in(400, BATH) == grams_in(500, BATH) == 0


def test_between_two_levels_what_left_the_vat_is_on_candles_or_lost():
    events = [At(at(0), READ, 25), At(at(2), TOP_UP, grams=3_000), At(at(5), READ, 75)]
    takes = [Take(at(1), 4_000), Take(at(5), 2_500), Take(at(6), 999), Take(at(0), 999)]
    (only,) = stretches(events, takes, BATH)
    # 50 mm fell (4,000 g) and 3,000 g were put back: 7,000 left, 6,500 hang.
    assert (only.left, only.taken, only.topped_up, only.loss) == (7_000, 6_500, 3_000, 500)


def test_a_vat_filled_anew_tells_nothing_of_what_it_held_before():
    events = [At(at(0), READ, 25), At(at(1), FILLED, 25), At(at(2), TOP_UP, grams=80), At(at(3), READ, 30)]
    assert [(row.begins, row.left) for row in stretches(events, [], BATH)] == [(at(1), 480)]


def test_one_level_alone_tells_nothing():
    assert stretches([At(at(0), READ, 25), At(at(1), TOP_UP, grams=80)], [Take(at(2), 5)], BATH) == []
    assert in_all([]) is None


def test_stretches_add_up():
    events = [At(at(n), READ, 25 + n) for n in (0, 1, 2)]
    whole = in_all(stretches(events, [Take(at(1.5), 30)], BATH))
    assert (whole.begins, whole.ends, whole.left, whole.taken, whole.loss) == (at(0), at(2), 160, 30, 130)


def test_dips_share_a_candles_wax_by_their_rings():
    parts = [taken_between(1_000, 2, 22, 20, (n, n + 1)) for n in range(20)]
    assert sum(parts) == pytest.approx(1_000)
    # Ring by ring from 2 to 22 mm: 3^2 - 2^2 of 22^2 - 2^2, and 22^2 - 21^2.
    assert parts[0] == pytest.approx(1_000 * 5 / 480)
    assert parts[-1] == pytest.approx(1_000 * 43 / 480)
    assert taken_between(1_000, 2, 22, 20, (18, 25)) == pytest.approx(1_000 * (484 - 400) / 480)


@pytest.mark.parametrize("wrong", [(2, 22, 0), (22, 22, 5), (0, 22, 5)])
def test_what_is_no_candle_is_refused(wrong):
    with pytest.raises(ValueError, match="not a candle"):
        taken_between(1_000, *wrong, (0, 1))


def test_the_balance_is_read_from_top_to_bottom():
    balance = Balance(drawn=100_000, wasted=1_000, recounted=-3_000, candles=95_000, remelt=5_000, ends=2_500)
    assert (balance.wax_in, balance.loss) == (104_000, 1_500)
    lines = {row["what"]: row["grams"] for row in balance_lines(balance)}
    assert lines["Drawn for frames counted off"] + lines["Wasted"] + lines["Missing when recounted"] == lines["Wax in"]
    assert lines["In candles"] + lines["For remelt"] + lines["Wick ends"] + lines["Loss"] == lines["Wax in"]
    said = balance_headline(balance, FIRST, LAST)
    assert said == (
        "Of 104 kg of wax from 2 November 2026 to 29 November 2026, 95 kg are in candles; 1.5 kg (1.4 %) went astray."
    )
    assert balance_reason(balance) == "3 kg were missing when the store was recounted."


@pytest.mark.parametrize(
    ("balance", "said"),
    [
        (Balance(0, 0, 0, 0, 0, 0), "No wax was drawn from"),
        (Balance(5_000, 0, 0, 5_000, 0, 0), "nothing went astray."),
        (Balance(5_000, 0, 0, 4_998, 0, 0), "nothing went astray."),
        (Balance(5_000, 0, 0, 5_000, 0, 200), "200 g more came out than was drawn."),
    ],
)
def test_a_balance_that_is_even_or_the_wrong_way_round_says_so(balance, said):
    assert said in balance_headline(balance, FIRST, LAST)
    assert "not recounted" in balance_reason(balance)


def test_the_tub_is_reckoned_from_where_somebody_looked():
    assert Tub(begun=500, graded=4_000, seconds=1_200, weighed=3_000).left == 2_700


@pytest.mark.parametrize(
    ("tubs", "said"),
    [
        ([], "Nothing lies for remelt, as far as the book knows."),
        ([("paraffin, ivory", Tub(weighed=5))], "Nothing lies for remelt, as far as the book knows."),
        ([("paraffin, ivory", Tub(graded=1_500))], "1.5 kg of paraffin, ivory lie for remelt."),
        (
            [("paraffin, ivory", Tub(graded=1_500)), ("beeswax, honey", Tub(graded=12_000))],
            "13.5 kg lie for remelt in 2 waxes and colours, 12 kg of them beeswax, honey.",
        ),
    ],
)
def test_the_first_line_of_remelt(tubs, said):
    assert remelt_headline(tubs) == said


@pytest.mark.parametrize(
    ("before", "weighed", "left", "said"),
    [
        (5_000, 4_000, None, ""),
        (5_000, 6_500, None, "That is 1.5 kg more than the book knew of."),
        (5_000, 4_000, 1_000, "Nothing is missing."),
        (5_000, 4_000, 0, "Missing: 1 kg; the book reckoned with 1 kg left."),
        (5_000, 4_000, 1_500, "500 g more are there than the book knew of."),
        (0, 4_000, 0, "4 kg more are there than the book knew of."),
    ],
)
def test_what_is_left_is_told_against_what_should_be(before, weighed, left, said):
    assert left_differs(before, weighed, left) == said
