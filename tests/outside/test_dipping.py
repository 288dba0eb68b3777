"""Dipping against physics and against the trade's own figures. TRADE is the project's fact sheet, by its numbers."""

from datetime import UTC, datetime, time, timedelta
from decimal import Decimal
from math import erf, exp, pi, sqrt
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import optimize

from production.clock import WorkingHours, turns_done_at
from production.coat import (
    Wax,
    capillary_number,
    film_mm,
    frozen_mm,
    growth_mm,
    melted_back_mm,
    most_frozen_mm,
    stefan_root,
)
from production.growth import USUAL_GROWTH, dips_left, usual_prior
from production.pitch import LEAST_PITCH, USUAL_PITCH

calm = settings(deadline=None, derandomize=True)


def test_film_of_the_worked_example():
    """TRADE P1, check value 9: the law in S46, liquid figures from memory. Ca 8.928571e-3, 0.0777317 mm."""
    assert capillary_number(0.05) == pytest.approx(8.928571e-3, rel=1e-6)
    assert film_mm(0.05) == pytest.approx(0.0777317, abs=1e-7)
    assert film_mm(0.01) == pytest.approx(0.0265839, abs=1e-7)


def test_film_follows_the_speed_to_two_thirds():
    """Confirmed by experiment in S47, S48: five times the speed, 2.924018 times the film."""
    assert film_mm(0.05) / film_mm(0.01) == pytest.approx(2.924018, abs=1e-6)


def test_a_quick_draw_tends_to_the_other_law():
    """TRADE P1: for a large Ca the film tends to sqrt(mu U / (rho g)) (read in public code)."""
    thick = Wax(viscosity=10)
    assert film_mm(0.5, thick) == pytest.approx(1000 * sqrt(10 * 0.5 / (780 * 9.80665)))


@pytest.mark.parametrize(("seconds", "mm"), [(1, 0.112838), (3, 0.195441), (10, 0.356825), (30, 0.618039)])
def test_wax_frozen_on(seconds, mm):
    """TRADE P4 (the classical result from memory; the model was put together there, not published)."""
    assert frozen_mm(seconds, 25) == pytest.approx(mm, abs=1e-6)


@pytest.mark.parametrize(("radius", "mm"), [(1, 0.15), (5, 0.75), (10, 1.5)])
def test_a_core_can_freeze_only_so_much(radius, mm):
    """TRADE P5: an energy balance."""
    assert most_frozen_mm(radius, 25) == pytest.approx(mm)


@pytest.mark.parametrize(("stefan", "root"), [(0.11, 0.2303934), (0.242, 0.3349864)])
def test_root_of_the_stefan_problem(stefan, root):
    """TRADE P6, check value 9; the problem in S50, S51."""
    assert stefan_root(stefan) == pytest.approx(root, abs=1e-7)


@calm
@given(st.floats(min_value=1e-4, max_value=50))
def test_root_agrees_with_the_library(stefan):
    """Against scipy's root finder on lambda exp(lambda^2) erf(lambda) = Ste / sqrt(pi)."""
    by_library = optimize.brentq(lambda x: x * exp(x * x) * erf(x) - stefan / sqrt(pi), 1e-9, 5, xtol=1e-14)
    assert stefan_root(stefan) == pytest.approx(by_library, rel=1e-9)


@pytest.mark.parametrize(
    ("seconds", "above", "mm"),
    [(3, 10, 0.235965), (10, 10, 0.430811), (30, 10, 0.746187), (60, 10, 1.055268), (3, 22, 0.343087)],
)
def test_wax_melted_back(seconds, above, mm):
    """TRADE P6: a vat 10 K above melting, and the 82 C finish at 22 K."""
    assert melted_back_mm(seconds, above) == pytest.approx(mm, abs=1e-6)


def test_melting_back_at_a_small_stefan_number():
    """TRADE P6: s tends to sqrt(2 Ste alpha t), 0.759555 mm at 30 s, 1.8 % high."""
    spreads = 0.15 / (780 * 2200)
    simple = 1000 * sqrt(2 * 0.11 * spreads * 30)
    assert simple == pytest.approx(0.759555, abs=1e-6)
    assert simple / melted_back_mm(30, 10) == pytest.approx(1.018, abs=1e-3)


def test_growth_a_dip_is_of_the_order_physics_gives():
    """TRADE P4: film and freezing at 3 s give 0.5256 mm on the diameter, against 0.635 (0.61) mm seen (D1: S20). Right
    order only: plausible cores 15 to 35 K cold, 2 to 4 s in, drawn at 2 to 10 cm/s spread it from 0.3 to 0.9 mm."""
    assert growth_mm(3, 25, 0.05) == pytest.approx(0.5256, abs=5e-5)
    assert 0.8 < growth_mm(3, 25, 0.05) / USUAL_GROWTH < 1.25
    spread = [growth_mm(t, cold, u) for t in (2, 4) for cold in (15, 35) for u in (0.02, 0.10)]
    assert min(spread) < USUAL_GROWTH < max(spread)
    assert 0.2 < min(spread) < max(spread) < 1.0


def test_a_thin_core_grows_less():
    """TRADE P5: a core of 1 mm radius can't freeze on more than 0.15 mm, however long it stays."""
    film = growth_mm(3, 25, 0.05, radius_mm=1) - 2 * 0.15
    assert film == pytest.approx(0.1347, abs=1e-4)


def test_about_thirty_dips_make_a_three_quarter_inch_taper():
    """TRADE D1 (S20): 19.05 mm in "about 30 dips"; D2: other sources have 10 to 20, or over 50 with a quench."""
    left = dips_left(usual_prior(), 0, 19.05)
    assert 27 <= left.likely <= 31
    assert left.fewest <= 20
    assert left.most >= 50


def test_thirty_four_dips_from_the_wick_to_a_dinner_candle():
    """TRADE P9, check value 7: (22 - 2) / 0.6 = 33.33, so 34."""
    assert dips_left(usual_prior(2, Decimal("0.6")), 0, 22).likely == 34


def test_the_thickest_candles_hang_up_to_three_days():
    """Issue 3's figure, common practice without a source: at regular turns the thickest are on for up to three days.

    A church candle of 100 mm (TRADE Z6: S38, 13 to 100 mm) at 0.6 mm a dip takes 164 turns; by D6 a turn takes four
    minutes at least, more as the core grows warm: at eight minutes, in days of eight and a half hours, three days.
    """
    turns = dips_left(usual_prior(2, 0.6), 0, 100).likely
    assert turns == 164
    hours = WorkingHours({day: (time(8), time(16, 30)) for day in range(5)}, ZoneInfo("Europe/London"))
    monday = datetime(2026, 11, 23, 8, tzinfo=UTC)
    assert turns_done_at(monday, turns, 4, hours) - monday < timedelta(days=2)
    assert timedelta(days=2) < turns_done_at(monday, turns, 8, hours) - monday < timedelta(days=3)


def test_pitch_lies_where_the_sources_have_it():
    """TRADE D11: about three finished diameters (S21), historically about two (S27): a conflict, so 2 is the least."""
    assert (LEAST_PITCH, USUAL_PITCH) == (2, 3)
