"""Firsts as a chance: frames to hang, what a frame may be hung for, and the rate that gradings teach."""

import random
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from production.chances import (
    EXACT_PAIRS,
    MOST_FRAMES,
    MOST_PAIRS,
    chance_of_firsts,
    expected_firsts,
    fit_firsts,
    frames_to_hang,
)

calm = settings(deadline=None, derandomize=True)

RATES = st.tuples(st.integers(1, 400), st.integers(1, 60)).map(lambda pair: (pair[0], pair[0] + pair[1]))
CONFIDENCES = st.floats(min_value=0.5, max_value=0.99)


@calm
@given(st.integers(1, 300), st.integers(1, 60), RATES, CONFIDENCES)
def test_frames_are_the_fewest_that_are_sure_enough(need, per_frame, rate, confidence):
    hanging = frames_to_hang(need, per_frame, *rate, confidence)
    if hanging.frames is None:
        assert hanging.chance < confidence
        return
    assert hanging.pairs == hanging.frames * per_frame
    assert hanging.chance == chance_of_firsts(hanging.pairs, need, *rate) >= confidence
    assert hanging.chance_with_one_less == chance_of_firsts(hanging.pairs - per_frame, need, *rate) < confidence


@calm
@given(st.integers(0, 200), RATES, CONFIDENCES)
def test_expected_firsts_are_the_most_that_are_sure_enough(pairs, rate, confidence):
    firsts = expected_firsts(pairs, *rate, confidence)
    assert 0 <= firsts <= pairs
    assert chance_of_firsts(pairs, firsts, *rate) >= confidence
    assert firsts == pairs or chance_of_firsts(pairs, firsts + 1, *rate) < confidence


@calm
@given(st.integers(1, 60), RATES, CONFIDENCES)
def test_one_frame_does_for_exactly_what_it_may_be_hung_for(pairs, rate, confidence):
    firsts = expected_firsts(pairs, *rate, confidence)
    if firsts:
        assert frames_to_hang(firsts, pairs, *rate, confidence).frames == 1
    if firsts < pairs:
        assert frames_to_hang(firsts + 1, pairs, *rate, confidence).frames != 1


@calm
@given(st.integers(0, 100), RATES)
def test_chances_fall_as_more_is_asked(pairs, rate):
    chances = [chance_of_firsts(pairs, firsts, *rate) for firsts in range(pairs + 2)]
    assert chances[0] == 1
    assert chances[-1] == 0
    assert all(more >= less - 1e-12 for more, less in pairwise(chances))


def test_a_rate_shared_by_the_pairs_is_less_sure_than_pairs_by_themselves():
    """The same share better known is surer of the mean, and needs fewer frames."""
    vague, known = frames_to_hang(300, 24, 9, 10, 0.9), frames_to_hang(300, 24, 9000, 10000, 0.9)
    assert known.frames == 15
    assert vague.frames > known.frames


def test_words_say_what_one_frame_less_would_do():
    hanging = frames_to_hang(65, 24, 45, 48, 0.9)
    assert (hanging.frames, hanging.words) == (4, "4 frames: 3 would do only 84 times in 100.")


def test_words_where_one_less_can_not_hold_the_pairs():
    assert frames_to_hang(30, 24, 45, 48, 0.9).words == "2 frames: 1 would hold only 24 pairs."


def test_words_for_one_frame():
    assert frames_to_hang(12, 24, 45, 48, 0.9).words == "1 frame: it gives 12 firsts more than 99 times in 100."


@pytest.mark.parametrize("need", [0, -5])
def test_no_need_no_frame(need):
    hanging = frames_to_hang(need, 24, 45, 48, 0.9)
    assert (hanging.frames, hanging.pairs, hanging.words) == (0, 0, "Nothing to hang.")


def test_a_need_that_no_frames_meet_is_said():
    hanging = frames_to_hang(5, 1, 0.01, 400, 0.99)
    assert hanging.frames is None
    assert hanging.words.startswith(f"Even {MOST_FRAMES} frames would do only ")


def test_a_need_beyond_all_measure_is_answered():
    assert frames_to_hang(MOST_PAIRS, 48, 45, 48, 0.9).frames is None
    frames = frames_to_hang(1_000_000, 48, 45, 48, 0.9).frames
    assert 1_000_000 < frames * 48 < 1_300_000


def test_sums_and_shares_meet():
    """Where counts are no longer summed, the chance takes no leap."""
    for need in (16_000, 17_500, 18_750, 19_500):
        summed, share = (chance_of_firsts(EXACT_PAIRS + more, need + more, 45, 48) for more in (0, 1))
        assert share == pytest.approx(summed, abs=1e-3)


@pytest.mark.parametrize(
    ("asked", "word"),
    [
        ((65, 24, 0, 48, 0.9), "share of firsts"),
        ((65, 24, 48, 48, 0.9), "share of firsts"),
        ((65, 24, 49, 48, 0.9), "share of firsts"),
        ((65, 0, 45, 48, 0.9), "one pair or more"),
        ((65, 24, 45, 48, 1), "confidence"),
        ((65, 24, 45, 48, 0), "confidence"),
        ((10**9 + 1, 24, 45, 48, 0.9), "pairs hung"),
    ],
)
def test_what_makes_no_sense_is_refused(asked, word):
    with pytest.raises(ValueError, match=word):
        frames_to_hang(*asked)


def gradings(frames: int, seed: int, share: float, of: float, hung: int = 24):
    dice = random.Random(seed)
    for _ in range(frames):
        rate = dice.betavariate(share * of, (1 - share) * of)
        yield sum(dice.random() < rate for _ in range(hung)), hung


def test_without_gradings_the_recipe_stands():
    assert fit_firsts([], 45, 48) == fit_firsts([(0, 0)], 45, 48)
    assert (fit_firsts([], 45, 48).good, fit_firsts([], 45, 48).of) == (45, 48)


def test_many_gradings_teach_share_and_spread():
    """600 frames of a workshop whose frames differ as 30 pairs would: the share is found, and the spread."""
    rate = fit_firsts(list(gradings(600, 1, 0.85, 30)), 45, 48)
    assert rate.share == pytest.approx(0.85, abs=0.01)
    assert rate.of == pytest.approx(30, rel=0.25)
    assert rate.frames == 600


def test_frames_that_hardly_differ_make_the_next_one_surer():
    alike, apart = (fit_firsts(list(gradings(60, 2, 0.9, of)), 45, 48) for of in (5000, 8))
    assert alike.of > 100
    assert apart.of < 15
    assert expected_firsts(24, alike.good, alike.of, 0.9) > expected_firsts(24, apart.good, apart.of, 0.9)


def test_what_a_frame_is_hung_for_comes_as_often_as_it_says():
    """2000 new frames of the same workshop give what one was hung for at 9 in 10 about nine times in ten or more."""
    rate = fit_firsts(list(gradings(80, 3, 0.88, 20)), 45, 48)
    firsts = expected_firsts(24, rate.good, rate.of, 0.9)
    kept = sum(given >= firsts for given, _ in gradings(2000, 4, 0.88, 20)) / 2000
    assert 0.88 <= kept <= 0.97


def test_frames_that_differ_count_for_less():
    """Five good frames and five lost ones are no 240 witnesses of the share, and the recipe keeps its say."""
    rate = fit_firsts([(24, 24), (0, 24)] * 5, 45, 48)
    naive = (45 + 120) / (48 + 240)
    assert naive + 0.15 < rate.share < 45 / 48


@pytest.mark.parametrize("graded", [[(24, 24)] * 30, [(0, 24)] * 30, [(0, 24), (24, 24)] * 10, [(1, 1)], [(0, 1)] * 9])
def test_the_ends_still_give_a_rate(graded):
    rate = fit_firsts(graded, 45, 48)
    assert 0 < rate.good < rate.of
    assert 0 <= expected_firsts(24, rate.good, rate.of, 0.9) <= 24


@calm
@given(
    st.lists(st.tuples(st.integers(0, 40), st.integers(0, 20)).map(lambda p: (p[0], p[0] + p[1])), max_size=30), RATES
)
def test_any_gradings_give_a_rate_between_none_and_all(graded, rate):
    fitted = fit_firsts(graded, *rate)
    assert 0 < fitted.good < fitted.of


@pytest.mark.parametrize("graded", [(25, 24), (-1, 24)])
def test_more_firsts_than_hung_are_refused(graded):
    with pytest.raises(ValueError, match="no more firsts"):
        fit_firsts([graded], 45, 48)
