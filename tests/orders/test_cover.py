import re
from dataclasses import FrozenInstanceError
from itertools import pairwise
from types import SimpleNamespace
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.cover import WORDS, Cover, add, cover_of_line
from orders.cover_svg import LEAST, draw_cover, draw_swatch, part_widths

SVG = "{http://www.w3.org/2000/svg}"
LAMP_ROOM = Cover(sent=0, set_aside=276, on_floor=96, planned=96, open=36)
pairs = st.integers(min_value=0, max_value=10**12)
covers = st.builds(Cover, sent=pairs, set_aside=pairs, on_floor=pairs, planned=pairs, open=pairs)


def test_pairs_are_the_sum_of_the_parts():
    assert LAMP_ROOM.pairs == 504
    assert [number for _, number in LAMP_ROOM.parts] == [0, 276, 96, 96, 36]


def test_in_words():
    assert LAMP_ROOM.in_words() == "504 pairs: 0 sent, 276 set aside, 96 on the floor, 96 planned, 36 open"
    assert Cover(open=1).in_words().startswith("1 pair: ")
    assert Cover(sent=6812).in_words().startswith("6,812 pairs: 6,812 sent")


def test_cover_cannot_be_changed():
    with pytest.raises(FrozenInstanceError):
        LAMP_ROOM.sent = 4


@pytest.mark.parametrize("wrong", [-1, 2.0, "3", None, True])
def test_only_whole_pairs_from_zero_up(wrong):
    with pytest.raises(ValueError, match=r"set aside: .* is not a whole number of pairs"):
        Cover(set_aside=wrong)


def test_cover_of_line_leaves_open_what_nothing_fills():
    line = SimpleNamespace(pairs=120, sent=24, set_aside=60)
    assert cover_of_line(line) == Cover(sent=24, set_aside=60, open=36)


def test_cover_of_line_counts_what_hangs_up_to_what_is_missing():
    line = SimpleNamespace(pairs=120, sent=24, set_aside=60)
    assert cover_of_line(line, 30) == Cover(sent=24, set_aside=60, on_floor=30, open=6)
    assert cover_of_line(line, 90) == Cover(sent=24, set_aside=60, on_floor=36)
    assert cover_of_line(line, 30).missing == 36


def test_cover_of_line_refuses_more_than_was_ordered():
    with pytest.raises(ValueError, match="open: -4"):
        cover_of_line(SimpleNamespace(pairs=20, sent=0, set_aside=24))


@given(st.lists(covers))
def test_add_keeps_every_pair(many):
    assert add(many).pairs == sum(cover.pairs for cover in many)
    assert add(iter(many)) == add(many)


def test_add_of_nothing():
    assert add([]) == Cover()


@given(covers)
def test_widths_add_up_and_every_filled_part_shows(cover):
    widths = part_widths(cover, 191)
    assert sum(widths) == pytest.approx(191 if cover.pairs else 0)
    for (_, number), width in zip(cover.parts, widths, strict=True):
        assert width >= LEAST - 1e-9 if number else width == 0


def test_widths_are_in_proportion():
    assert part_widths(Cover(set_aside=75, open=25), 200) == [0, 150, 0, 0, 50]


def test_a_narrow_bar_shares_what_there_is():
    assert part_widths(Cover(1, 1, 1, 1, 10**9), 10) == pytest.approx([2] * 5)


def drawn(cover, **size):
    return ElementTree.fromstring(draw_cover(cover, **size))


def test_bar_is_an_image_that_says_what_it_shows():
    svg = drawn(LAMP_ROOM)
    assert svg.get("role") == "img"
    assert svg.get("aria-label") == LAMP_ROOM.in_words()
    assert (svg.get("width"), svg.get("height"), svg.get("viewBox")) == ("192", "14", "0 0 192 14")


def test_only_what_was_sent_is_solid():
    solid = [rect for rect in drawn(Cover(sent=1, open=1)).iter(f"{SVG}rect") if rect.get("fill") != "none"]
    assert [float(rect.get("width")) for rect in solid] == [95.5]
    assert not [rect for rect in drawn(LAMP_ROOM).iter(f"{SVG}rect") if rect.get("fill") != "none"]


def strokes(cover):
    """The weave of a bar of one part: every path but the part's closing edge."""
    return [path.get("d") for path in drawn(cover).iter(f"{SVG}path")][:-1]


def test_each_part_has_a_weave_of_its_own():
    aside, floor, planned = (strokes(Cover(**{name: 9})) for name in ("set_aside", "on_floor", "planned"))
    assert re.fullmatch(r"(M[\d.]+ [\d.]+L[\d.]+ [\d.]+|m-[\d.]+ [\d.]+l[\d.]+ -[\d.]+)+", aside[0])
    assert re.fullmatch(r"M[\d.]+ [\d.]+v[\d.]+(m[\d.]+ -[\d.]+v[\d.]+)+", floor[0])
    assert re.fullmatch(r"(M[\d.]+ [\d.]+h1\.4v1\.4h-1\.4z(m[\d.]+ 0h1\.4v1\.4h-1\.4z)*)+", planned[0])
    assert len(pen_stops(aside[0])) > len(pen_stops(floor[0])), "set aside is the closer weave"
    assert strokes(Cover(open=9)) == []


def pen_stops(path):
    """Where the pen is put down and where its strokes end, each as x and y; dots begin anew where they began."""
    x = y = 0.0
    stops = []
    for letter, rest in re.findall(r"([MLmlvhz])([^MLmlvhz]*)", path):
        numbers = [float(number) for number in rest.split()]
        start = stops[-1] if letter == "z" else None
        match letter:
            case "M" | "L":
                x, y = numbers
            case "m" | "l":
                x, y = x + numbers[0], y + numbers[1]
            case "v":
                y += numbers[0]
        if letter in "Mm" or (letter in "Llv" and "h" not in path):
            stops.append((x, y))
        elif start:
            x, y = start
    return stops


@pytest.mark.parametrize("part", ["set_aside", "on_floor", "planned"])
def test_strokes_stay_inside_their_part(part):
    svg = drawn(Cover(**{part: 50, "open": 50}))
    stops = pen_stops(next(svg.iter(f"{SVG}path")).get("d"))
    assert all(0.5 <= x <= 96.02 and 0.49 <= y <= 13.51 for x, y in stops)
    last = max(x for x, _ in stops)
    assert last > 90, "the weave fills its part to the end"


def test_weaves_go_on_at_one_pitch():
    aside, floor, planned = (
        pen_stops(strokes(Cover(**{name: 9}))[0]) for name in ("set_aside", "on_floor", "planned")
    )
    feet = [x for x, y in aside if y == pytest.approx(13.5)]
    assert [b - a for a, b in pairwise(feet)] == pytest.approx([3.6] * (len(feet) - 1), abs=0.02)
    heads = [x for x, y in floor if y == pytest.approx(0.5)]
    assert [b - a for a, b in pairwise(heads)] == pytest.approx([191 / 31] * 30, abs=0.02)
    rows = {round(y, 1) for _, y in planned}
    assert (len(planned), len(rows)) == (129, 3)


def test_zero_pairs_draw_an_empty_frame():
    svg = drawn(Cover())
    assert svg.get("aria-label") == "0 pairs: 0 sent, 0 set aside, 0 on the floor, 0 planned, 0 open"
    assert [child.tag for child in svg] == [f"{SVG}rect"]


def test_huge_numbers_draw_no_more_strokes_than_small_ones():
    small, huge = draw_cover(Cover(9, 9, 9, 9, 9)), draw_cover(Cover(*[9 * 10**12] * 5))
    assert huge.count("M") == small.count("M")


def test_nothing_hangs_on_styles_or_ids():
    bar = draw_cover(Cover(1, 1, 1, 1, 1))
    assert "style=" not in bar
    assert not re.search(r"\sid=|url\(|pattern", bar)


def test_a_label_is_escaped():
    class Odd(Cover):
        def in_words(self):
            return '"><script>&'

    assert drawn(Odd(open=1)).get("aria-label") == '"><script>&'


@pytest.mark.parametrize("name", WORDS)
def test_swatches_are_silent(name):
    assert ElementTree.fromstring(draw_swatch(name)).get("aria-hidden") == "true"
