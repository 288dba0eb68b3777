"""The season's figures against real orders, re-computed by hand.

Orders of a UK giftware seller that largely serves wholesalers: Chen, Sain and Guo 2012, doi 10.1057/dbm.2012.17;
"Online Retail", UCI Machine Learning Repository, CC BY 4.0. The file is not part of the project: tests that read it
skip, saying so, where neither ../shared/data nor WICKTURN_ORDERS_DATA has it. Its year has no Christmas before
another, so months stand for seasons: a month's bookings by day, projected from the month before on the same day.
"""

import csv
import gzip
import os
from collections import Counter, defaultdict
from datetime import date
from itertools import pairwise
from math import exp, log, sqrt
from pathlib import Path

import pytest

from orders.season.booking_curve import curve_of
from orders.season.projection import GROWTH_SD, SHAPE_SD, Booked, Past, growth_on, project

BESIDE = Path(__file__).parents[3] / "shared" / "data" / "online_retail_dec2010_aug2011.csv.gz"
DATA = Path(os.environ.get("WICKTURN_ORDERS_DATA") or BESIDE)
needs_data = pytest.mark.skipif(not DATA.is_file(), reason="the published orders are not here")
JULY, AUGUST = (2011, 7), (2011, 8)
# Percent by which August came to be projected too high, by the day of August it was projected on: as printed.
ERROR_ON_AUGUST = {5: 60.1, 10: 30.8, 15: 14.5, 20: 14.4}
DAYS = tuple(ERROR_ON_AUGUST)


@pytest.fixture(scope="module")
def months() -> dict[tuple[int, int], Counter]:
    """By month: pieces by (day, buyer). Cancellations and sales to nobody known are left out."""
    found: dict[tuple[int, int], Counter] = defaultdict(Counter)
    with gzip.open(DATA, "rt", encoding="utf-8", errors="replace", newline="") as file:
        for row in csv.DictReader(file):
            pieces = int(row["Quantity"])
            if pieces > 0 and row["CustomerID"] and not row["InvoiceNo"].startswith("C"):
                day = date.fromisoformat(row["InvoiceDate"][:10])
                found[day.year, day.month][day, row["CustomerID"]] += pieces
    return found


def part(bookings: Counter, day: int, early: bool) -> Booked:
    """What each buyer took up to that day of the month, or after it."""
    by_buyer: Counter = Counter()
    for (when, buyer), pieces in bookings.items():
        if (when.day <= day) == early:
            by_buyer[buyer] += pieces
    return Booked.of(list(by_buyer.values()))


def halves(bookings: Counter, day: int) -> Past:
    return Past(part(bookings, day, True), part(bookings, day, False))


def total(bookings: Counter) -> int:
    return sum(bookings.values())


@needs_data
def test_julys_curve_adds_up_to_july(months):
    curve = curve_of((day, pieces) for (day, _), pieces in months[JULY].items())
    by_hand = sum(pieces for (day, _), pieces in months[JULY].items() if day <= date(2011, 7, 15))
    assert (curve.by(date(2011, 7, 15)), curve.total) == (by_hand, total(months[JULY]))
    assert curve.share_by(date(2011, 7, 15)) == by_hand / total(months[JULY])


@needs_data
@pytest.mark.parametrize("day", DAYS)
def test_august_from_julys_curve_as_printed(months, day):
    """The projection re-computed with nothing of the module's: ratio, weight of the prior, rest, spread."""
    now, past = part(months[AUGUST], day, True), halves(months[JULY], day)
    found = project(now, [past])
    ratio = log(now.pairs / past.early.pairs)
    doubt = now.squares / now.pairs**2 + past.early.squares / past.early.pairs**2
    weight = 0.25**2 / (0.25**2 + doubt)
    rest = past.late.pairs * exp(weight * ratio)
    sigma = sqrt(weight * doubt + 2 * past.late.squares / past.late.pairs**2 + 0.30**2)
    assert (found.rest, found.sigma) == (round(rest), pytest.approx(sigma))
    assert found.low == round(rest * exp(-1.2815515655446004 * sigma))
    assert round(100 * (found.total / total(months[AUGUST]) - 1), 1) == ERROR_ON_AUGUST[day]


@needs_data
def test_the_spread_beyond_single_orders_is_what_months_left_over(months):
    """SHAPE_SD: root mean square of ln(what came / what was projected) over 28 months and days, single orders' part
    taken off. December is left out: its last week is closed."""
    left, inside = [], 0
    pairs = sorted(months)[1:]
    for day in DAYS:
        for before, this in pairwise(pairs):
            past, now = halves(months[before], day), part(months[this], day, True)
            bare, whole = (project(now, [past], shape_sd=sd) for sd in (0.0, SHAPE_SD))
            came = part(months[this], day, False).pairs
            left.append(log(came / bare.rest) ** 2 - bare.sigma**2)
            inside += whole.low <= came <= whole.high
    assert len(left) == 28
    assert sqrt(sum(left) / len(left)) == pytest.approx(SHAPE_SD, abs=0.01)
    # The range is to hold 8 times in 10: 22 of 28 expected; measured on what it was set by, so that much is fair.
    assert 20 <= inside <= 27


def test_the_prior_is_common_practice():
    """A year is like the one before, give or take a quarter: common practice, no source. Ten alike shops, booked as
    much again: by hand ln 2, variance 0.2, weight 0.0625 / 0.2625."""
    mean, variance = growth_on(Booked.of([20] * 10), Booked.of([10] * 10))
    assert GROWTH_SD == 0.25
    assert (exp(mean), variance) == (pytest.approx(2 ** (0.0625 / 0.2625)), pytest.approx(0.2 * 0.0625 / 0.2625))
