"""Wax out of a vat: masses, levels, how long it covers, and what is refused."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.wax_use import (
    BOTTOM_MM,
    Bath,
    Hung,
    caution_covering,
    caution_rim,
    dip_mass_g,
    level_drop_mm,
    refuse_hanging,
    rise_mm,
    top_up_kg,
    turn_mass_g,
    turns_covered,
    volume_mm3,
)

calm = settings(deadline=None, derandomize=True)

VAT = Bath(depth_mm=400, area_mm2=120_000, level_mm=25, keep_mm=25, liquid_density=0.78)
TAPERS = Hung(candles=48, length_mm=250, base_mm=12, growth_mm=0.6, density=0.9)
HUNGS = st.builds(
    Hung,
    st.integers(2, 96),
    st.floats(50, 340),
    st.floats(1, 60),
    st.floats(0.1, 1.5),
    st.floats(0.86, 0.98),
)


@calm
@given(HUNGS, st.integers(1, 40))
def test_dips_add_up_to_the_coat(hung, dips):
    """One after the other, dips weigh what one coat of their whole thickness does."""
    singly = [dip_mass_g(replace(hung, base_mm=hung.base_mm + n * hung.growth_mm)) for n in range(dips)]
    assert sum(singly) == pytest.approx(dip_mass_g(replace(hung, growth_mm=dips * hung.growth_mm)))


@calm
@given(HUNGS, st.floats(0, 200))
def test_a_top_up_undoes_the_fall(hung, level):
    mass = dip_mass_g(hung)
    low = replace(VAT, level_mm=level + level_drop_mm(mass, VAT))
    assert top_up_kg(low, level) == pytest.approx(mass / 1000, abs=1e-9)


@calm
@given(st.lists(HUNGS, min_size=1, max_size=6), st.floats(25, 300))
def test_turns_covered_agree_with_dipping_turn_by_turn(frames, level):
    bath = replace(VAT, level_mm=level)
    found, turns, hung = turns_covered(bath, frames), 0, list(frames)
    longest = max(frame.length_mm for frame in frames)
    while bath.covered_mm >= longest + 1e-6:
        bath = replace(bath, level_mm=bath.level_mm + level_drop_mm(turn_mass_g(hung), bath))
        hung = [replace(frame, base_mm=frame.base_mm + frame.growth_mm) for frame in hung]
        turns += 1
    # A level that covers by a hair may fall to either side.
    assert found == turns or (found == turns + 1 and abs(bath.covered_mm - longest) < 1e-5)


def test_frames_that_draw_no_wax_are_covered_for_ever_or_not_at_all():
    resting = replace(TAPERS, growth_mm=0)
    assert turns_covered(VAT, [resting]) is None
    assert turns_covered(VAT, []) is None
    assert turns_covered(replace(VAT, level_mm=200), [resting]) == 0


def test_a_vat_too_shallow_is_refused_whatever_its_level():
    longest = 400 - 25 - BOTTOM_MM
    assert refuse_hanging(VAT, longest) == ""
    assert "too shallow: full, it covers 355 mm" in refuse_hanging(VAT, longest + 1)
    assert "too shallow" in refuse_hanging(replace(VAT, level_mm=0), longest + 1)


def test_a_vat_too_low_says_what_to_top_up():
    low = replace(VAT, level_mm=140)
    assert refuse_hanging(low, 240) == ""
    words = refuse_hanging(low, 250)
    assert "too low: it covers 240 mm of candle" in words
    assert "Top up with 1.0 kg" in words
    # And that much will do.
    assert refuse_hanging(replace(low, level_mm=140 - 1000 / (0.78 * 120)), 250) == ""


@calm
@given(st.floats(26, 374), st.floats(10, 355))
def test_the_top_up_that_is_named_will_do(level, length):
    words = refuse_hanging(replace(VAT, level_mm=level), length)
    if words:
        kilograms = float(words.split("Top up with ")[1].split(" kg")[0])
        assert refuse_hanging(replace(VAT, level_mm=level - kilograms * 1000 / (0.78 * 120)), length - 1e-9) == ""


def test_covering_is_cautioned_before_it_ends():
    assert caution_covering(VAT, [TAPERS], soon=10) == ""
    low = replace(VAT, level_mm=126)
    words = caution_covering(low, [TAPERS])
    assert words.startswith(f"After {turns_covered(low, [TAPERS])} turns more the wax no longer covers the longest")
    assert "top up with 9.5 kg of molten wax" in words
    assert "too low" in caution_covering(replace(VAT, level_mm=131), [TAPERS])
    assert caution_covering(low, []) == ""


def test_one_turn_more_is_said_in_the_singular():
    assert caution_covering(replace(VAT, level_mm=129.5), [TAPERS]).startswith("After 1 turn more ")


def test_a_full_vat_that_only_just_covers_is_kept_topped_up():
    assert "as full as it may be" in caution_covering(VAT, [replace(TAPERS, length_mm=354)])


def test_wax_that_would_rise_to_the_rim_is_cautioned():
    assert rise_mm(24 * 71_471.233, VAT) == pytest.approx(14.294, abs=1e-3)
    thick = replace(TAPERS, candles=24, base_mm=25.3)
    assert volume_mm3(thick) == pytest.approx(24 * 3.14159265 / 4 * 25.3**2 * 250)
    assert caution_rim(VAT, [TAPERS, replace(thick, base_mm=25.2)]) == caution_rim(VAT, []) == ""
    assert "lifts the wax by 25 mm; it stands 25 mm below the rim" in caution_rim(VAT, [TAPERS, thick])


def test_figures_from_the_book_are_taken_as_they_are():
    decimals = Bath(400, 120_000, Decimal("25.00"), 25, Decimal("0.780"))
    hung = Hung(48, Decimal("250.0"), Decimal("12.00"), Decimal("0.600"), Decimal("0.900"))
    assert dip_mass_g(hung) == pytest.approx(dip_mass_g(TAPERS))
    assert turns_covered(decimals, [hung]) == turns_covered(VAT, [TAPERS])
    assert top_up_kg(decimals) == 0
    assert level_drop_mm(Decimal("43.2"), decimals) == pytest.approx(0.461538, abs=1e-6)


@pytest.mark.parametrize(
    "wrong", [{"length_mm": 0}, {"base_mm": 0}, {"growth_mm": -1}, {"density": 0}, {"candles": -1}]
)
def test_what_are_no_candles_is_refused(wrong):
    with pytest.raises(ValueError, match="not candles"):
        dip_mass_g(replace(TAPERS, **wrong))


@pytest.mark.parametrize("wrong", [{"area_mm2": 0}, {"liquid_density": 0}, {"liquid_density": float("nan")}])
def test_what_is_no_vat_is_refused(wrong):
    with pytest.raises(ValueError, match="no vat"):
        level_drop_mm(1, replace(VAT, **wrong))
