"""Firsts as a chance, against a reference library (scipy) and against what the beta-binomial is made of."""

import random

import pytest
from scipy import integrate, stats

from production.chances import chance_of_firsts, expected_firsts, frames_to_hang


def cases(count: int, seed: int):
    """Pairs, firsts asked, and what the share is worth: from vague to well known, from poor to near perfect."""
    dice = random.Random(seed)
    for _ in range(count):
        pairs = round(10 ** dice.uniform(0, 2.7))
        yield pairs, dice.randint(0, pairs + 1), 10 ** dice.uniform(-0.5, 3), 10 ** dice.uniform(-0.5, 2.5)


def test_chance_agrees_with_the_library():
    """scipy.stats.betabinom.sf, 5000 random cases."""
    for pairs, asked, good, bad in cases(5000, seed=1):
        expected = stats.betabinom.sf(asked - 1, pairs, good, bad)
        assert chance_of_firsts(pairs, asked, good, good + bad) == pytest.approx(expected, rel=1e-8, abs=1e-11)


def test_chance_of_very_many_pairs_agrees_with_the_library():
    """scipy.stats.betabinom.sf on 20 001 to 60 000 pairs, where counts are taken as a share: within 1 in 1000."""
    dice = random.Random(5)
    for _ in range(40):
        pairs, bad = dice.randint(20_001, 60_000), dice.uniform(1, 50)
        good = bad * dice.uniform(2, 30)
        asked = round(pairs * dice.betavariate(good, bad))
        expected = stats.betabinom.sf(asked - 1, pairs, good, bad)
        assert chance_of_firsts(pairs, asked, good, good + bad) == pytest.approx(expected, abs=1e-3)


def test_chance_is_a_binomial_averaged_over_the_share():
    """The definition itself: the binomial tail weighted with the share's beta density, by numeric integration."""
    for pairs, asked, good, bad in ((24, 20, 45, 3), (24, 24, 9, 1), (48, 30, 20, 10), (72, 65, 45, 3)):

        def tail(share, pairs=pairs, asked=asked, good=good, bad=bad):
            return stats.binom.sf(asked - 1, pairs, share) * stats.beta.pdf(share, good, bad)

        by_hand, _ = integrate.quad(tail, 0, 1, epsabs=1e-12)
        assert chance_of_firsts(pairs, asked, good, good + bad) == pytest.approx(by_hand, rel=1e-8)


def test_a_share_known_for_certain_is_the_binomial():
    """As the beta distribution narrows, the beta-binomial becomes the binomial (any handbook of distributions)."""
    for asked in range(25):
        assert chance_of_firsts(24, asked, 9e6, 1e7) == pytest.approx(stats.binom.sf(asked - 1, 24, 0.9), abs=1e-5)


def test_a_flat_share_makes_every_count_as_likely():
    """Beta(1, 1): all of 0 to n firsts have chance 1 / (n + 1), as Bayes had it in 1763."""
    assert [chance_of_firsts(9, asked, 1, 2) for asked in range(10)] == pytest.approx([1 - k / 10 for k in range(10)])


def test_expected_firsts_agree_with_the_library():
    """Largest k with sf(k - 1) >= confidence, searched one by one in scipy's tails; 400 random cases."""
    dice = random.Random(2)
    for pairs, _, good, bad in cases(400, seed=3):
        confidence = dice.uniform(0.5, 0.995)
        tails = stats.betabinom.sf([k - 1 for k in range(pairs + 1)], pairs, good, bad)
        sure = max(k for k in range(pairs + 1) if k == 0 or tails[k] >= confidence)
        assert expected_firsts(pairs, good, good + bad, confidence) == sure


def test_frames_agree_with_a_search_from_one_frame_up():
    """Against scipy's tails, frame by frame, 300 random cases."""
    dice = random.Random(4)
    for _ in range(300):
        need, per_frame, confidence = dice.randint(1, 400), dice.randint(6, 60), dice.uniform(0.5, 0.97)
        bad = dice.uniform(1, 8)
        good = bad * dice.uniform(3, 30)
        frames = next(k for k in range(1, 400) if stats.betabinom.sf(need - 1, k * per_frame, good, bad) >= confidence)
        assert frames_to_hang(need, per_frame, good, good + bad, confidence).frames == frames
