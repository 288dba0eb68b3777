"""Heat of a vat: what is refused, what is cautioned, and heat for a top-up."""

from decimal import Decimal

import pytest

from production.heat import (
    ALWAYS,
    NEVER_WATER,
    HeatOfWax,
    WaxLimits,
    read_cautions,
    read_limits_refused,
    refuse_heat,
    set_cautions,
    top_up_heat_kj,
)

PARAFFIN = WaxLimits(congeals_c=Decimal(58), flash_c=Decimal(190))
BEESWAX = WaxLimits(congeals_c=Decimal(63), flash_c=Decimal(204), discolours_c=Decimal(85))


def test_the_usual_vat_is_neither_refused_nor_cautioned():
    for wax in (PARAFFIN, BEESWAX):
        assert refuse_heat(Decimal(72), Decimal(110), wax) == ""
        assert set_cautions(Decimal(72), Decimal(110), wax) == []
        assert read_cautions(Decimal(72), Decimal(110), wax) == []


@pytest.mark.parametrize(
    ("set_c", "cut_out", "wax", "word"),
    [
        (72, 111, PARAFFIN, "110 C at the latest, not 111 C"),
        (100, 100, PARAFFIN, "must stand below the cut-out at 100 C"),
        (72, 110, WaxLimits(58, 159), "only 49 K above the cut-out at 110 C: set the cut-out to 79 C or lower"),
        (58, 110, PARAFFIN, "not molten: it congeals at 58 C"),
    ],
)
def test_a_vat_that_may_not_hold_the_wax_is_refused(set_c, cut_out, wax, word):
    assert word in refuse_heat(Decimal(set_c), Decimal(cut_out), wax)


def test_the_margin_of_fifty_is_the_least():
    assert refuse_heat(72, 110, WaxLimits(58, 160)) == ""


@pytest.mark.parametrize(
    ("set_c", "cut_out", "wax", "words"),
    [
        (89, 110, PARAFFIN, ["65 to 85 C is usual"]),
        (90, 110, PARAFFIN, ["90 C and more is hotter than any dip needs"]),
        (64, 110, PARAFFIN, ["65 to 85 C is usual"]),
        (65, 110, PARAFFIN, []),
        (85, 110, BEESWAX, []),
        (86, 110, BEESWAX, ["65 to 85 C is usual", "discolours above 85 C"]),
        (72, 110, WaxLimits(58, 189), ["are 79 K; 80 K are wanted"]),
    ],
)
def test_what_to_watch_about_a_thermostat(set_c, cut_out, wax, words):
    said = set_cautions(Decimal(set_c), Decimal(cut_out), wax)
    assert len(said) == len(words)
    assert all(word in caution for word, caution in zip(words, said, strict=True))


@pytest.mark.parametrize(
    ("read", "finish", "words"),
    [
        (57, False, ["sets (it congeals at 58 C): do not dip"]),
        (58, False, ["do not dip"]),
        (62, False, ["only 4 K above congealing"]),
        (63, False, []),
        (73, False, []),
        (74, False, ["16 K above congealing: coats come thin"]),
        (82, True, []),
        (89, True, ["31 K above congealing"]),
        (90, True, ["too hot: turn the heat down"]),
        (109.9, False, ["too hot"]),
        (110, False, ["past the cut-out"]),
    ],
)
def test_what_a_heat_read_says(read, finish, words):
    said = read_cautions(Decimal(str(read)), Decimal(110), PARAFFIN, finish=finish)
    assert len(said) == len(words)
    assert all(word in caution for word, caution in zip(words, said, strict=True))


def test_past_the_cut_out_water_is_warned_of():
    (grave,) = read_cautions(120, 110, PARAFFIN)
    assert "heat off at once" in grave
    assert grave.endswith(NEVER_WATER)


def test_wax_that_discolours_says_so():
    assert any("discolours above 85 C" in caution for caution in read_cautions(86, 110, BEESWAX, finish=True))


@pytest.mark.parametrize(("read", "refused"), [(0, True), (-5, True), (251, True), (250, False), (71.5, False)])
def test_a_figure_that_is_no_vat_s_heat_is_refused(read, refused):
    assert bool(read_limits_refused(Decimal(str(read)))) is refused


def test_a_figure_that_is_no_number_is_refused():
    assert read_limits_refused(float("nan"))


def test_the_cautions_that_always_stand():
    together = " ".join(ALWAYS)
    for word in ("Never water", "Never leave a heated vat", "class B", "do not pull set wax off", "data sheet"):
        assert word in together


def test_heat_of_a_top_up_follows_the_wax():
    assert top_up_heat_kj(0, 60, 70) == 0
    assert top_up_heat_kj(Decimal(10), 60, 60, wax=HeatOfWax(2, 100, 3)) == 10 * (2 * 40 + 100)


@pytest.mark.parametrize("wrong", [(-1, 60, 70, 20), (10, 20, 70, 20), (10, 60, 59, 20)])
def test_what_is_no_top_up_is_refused(wrong):
    with pytest.raises(ValueError, match="no top-up"):
        top_up_heat_kj(*wrong)
