"""How long a candle burns, and what it rests on."""

from decimal import Decimal

import pytest

from production.burn_findings import Cycle, Sample, burn_sentence, findings, rates
from production.burning import burn_hours, burn_rate, hours_in_words, measured_rate, rate_doubt


def figures(*typed):
    return [Decimal(figure) for figure in typed]


def test_what_was_set_goes_before_what_was_measured_and_that_before_what_was_published():
    assert burn_rate(Decimal("5.5"), figures(7)).on_label == "5.5 g an hour, our own figure"
    measured = burn_rate(None, figures("6.2", "6.4", "6.9"))
    assert (measured.g_hour, measured.on_label) == (Decimal("6.50"), "6.5 g an hour, mean of 3 samples")
    published = burn_rate(None)
    assert (published.g_hour, published.own) == (6, False)
    assert "nobody has measured this candle" in published.basis


@pytest.mark.parametrize(
    ("hours", "words"),
    [("0.01", "5 minutes"), ("0.35", "20 minutes"), ("1.99", "115 minutes"), ("2", "2 hours"), ("10.72", "10½ hours"),
     ("10.4", "10 hours"), ("19.99", "19½ hours"), ("20.9", "20 hours"), ("177.4", "177 hours")],
)  # fmt: skip
def test_hours_are_rounded_down(hours, words):
    assert hours_in_words(Decimal(hours)) == words


@pytest.mark.parametrize(("mass", "rate"), [("0", "6"), ("64", "0"), ("-1", "6")])
def test_what_cannot_burn_is_refused(mass, rate):
    with pytest.raises(ValueError, match="nothing burns"):
        burn_hours(Decimal(mass), Decimal(rate))


@pytest.mark.parametrize(("before", "after", "minutes"), [("60", "61", 240), ("60", "50", 0)])
def test_two_weighings_that_are_no_burn_are_refused(before, after, minutes):
    with pytest.raises(ValueError, match="not a burn"):
        measured_rate(Decimal(before), Decimal(after), minutes)


def test_a_rate_that_is_not_common_for_its_thickness_is_told():
    assert rate_doubt(Decimal(22), burn_rate(None)) == ""
    assert "4 to 5 g an hour (from memory), not 6" in rate_doubt(Decimal(12), burn_rate(None))
    assert "burn very differently" in rate_doubt(Decimal(50), burn_rate(None))


def cycle(mass, *, minutes=240, rest=60, flame=40, glow="10", relit=False, soot=None):
    return Cycle(rest, minutes, Decimal(mass), flame, Decimal(glow), relit, None if soot is None else Decimal(soot))


def burnt(number, *cycles):
    return Sample(number, Decimal(64), Decimal(250), cycles)


def found(point, *samples):
    return next(each for each in findings(samples) if each.point.startswith(point))


def test_before_the_first_burn_nothing_is_known():
    samples = [burnt(number) for number in (1, 2, 3)]
    assert {each.within for each in findings(samples)} == {None}
    assert burn_sentence("Ivory taper", samples) == "Ivory taper: three samples are weighed; none has burnt yet."


def test_a_samples_rate_is_its_loss_over_all_it_has_burnt():
    assert burnt(1, cycle(40), cycle(20, minutes=200)).rate == Decimal("6.00")
    assert rates([burnt(1, cycle(40)), burnt(2)]) == [Decimal("6.00")]


def test_the_average_of_the_glow_counts_and_30_seconds_are_still_within():
    assert found("Smoke", burnt(1, cycle(40, glow="50"), cycle(20, glow="10"))).within is True
    assert found("Smoke", burnt(1, cycle(40, glow="50"), cycle(20, glow="10.1"))).within is False


def test_one_that_lit_itself_again_is_outside():
    assert found("Lit itself", burnt(1, cycle(40, relit=True))).within is False


@pytest.mark.parametrize(("flame", "within"), [(75, True), (76, False)])
def test_the_tallest_flame_counts(flame, within):
    assert found("Flame", burnt(1, cycle(40), cycle(20, flame=flame))).within is within


def test_the_average_soot_of_the_samples_counts_by_the_minutes_burnt():
    heavy = burnt(1, cycle(40, soot="2"), cycle(30, minutes=60, soot="0.5"), cycle(20))
    assert heavy.soot == Decimal("1.7")
    assert found("Soot", heavy, burnt(2, cycle(40, soot="0.2"))).within is True
    assert found("Soot", heavy, burnt(2, cycle(40, soot="0.3"))).within is False  # exactly 1.0 is not below it


@pytest.mark.parametrize(
    ("cycles", "said"),
    [
        ([cycle(40), cycle(20, minutes=100)], ""),
        ([cycle(40, minutes=100), cycle(20)], "; 1 cycle of another length"),
        ([cycle(40, minutes=250)], "; 1 cycle of another length"),
        ([cycle(40, rest=0), cycle(20, rest=59)], "; 1 after too short a rest"),
    ],
)
def test_what_was_not_burnt_as_planned_is_told(cycles, said):
    plan = found("Burnt as planned", burnt(1, *cycles), burnt(2), burnt(3))
    assert plan.found == "1 of 3 samples burnt, 0 of them down to the end" + said
    assert plan.within is (False if said else None)


def test_it_was_burnt_as_planned_once_three_samples_are_down_to_their_last_10_mm():
    """By mass: 10 mm of 250 are 2.56 of 64 g at the mean thickness, and the foot is thicker."""
    down, up = cycle("3.8"), cycle("3.9")
    assert found("Burnt as planned", *(burnt(number, down) for number in (1, 2, 3))).within is True
    assert found("Burnt as planned", burnt(1, down), burnt(2, down), burnt(3, up)).within is None


def test_the_sentence_names_what_lies_outside():
    samples = [burnt(1, cycle(40, flame=90, glow="60")), burnt(2, cycle(40)), burnt(3)]
    assert burn_sentence("Ivory taper", samples) == (
        "Ivory taper burns 6.00 g an hour over 2 of 3 samples; "
        "outside the limits: smoke and glow after putting out, flame."
    )
