import re
from decimal import Decimal
from types import SimpleNamespace
from xml.etree import ElementTree

import pytest

from inventory.pair_svg import ARCH, ASKEW, EDGE, GAP, INK, SCALE, draw_pair, draw_pair_of

SVG = "{http://www.w3.org/2000/svg}"
TAPER = {"length_mm": Decimal("250"), "base_mm": Decimal("22"), "tip_mm": Decimal("16"), "colour": "#f0e3c4"}
STUB = {"length_mm": 100, "base_mm": 30, "tip_mm": 28, "colour": "#d99a2b"}


def parse(**candle):
    return ElementTree.fromstring(draw_pair(**candle))


def size(svg):
    return float(svg.get("width")), float(svg.get("height"))


def wax_box(svg):
    """Width and height in px of the right-hand candle's wax, out of its path."""
    path = svg.findall(f"{SVG}path")[-1].get("d")
    xs, ys, pen = [], [], (0.0, 0.0)
    for command, numbers in re.findall(r"([MQLH])([^A-Za-z]*)", path):
        values = [float(value) for value in numbers.split()]
        pen = (values[-1], pen[1]) if command == "H" else tuple(values[-2:])
        xs.append(pen[0])
        ys.append(pen[1])
    return max(xs) - min(xs), max(ys) - min(ys)


def test_length_and_thickness_share_one_scale():
    for candle in (TAPER, STUB):
        width, height = wax_box(parse(**candle))
        assert height == pytest.approx(float(candle["length_mm"]) * SCALE, abs=0.02)
        assert width == pytest.approx(float(candle["base_mm"]) * SCALE, abs=0.02)


def test_a_taper_is_taller_and_thinner_than_a_stub():
    taper, stub = wax_box(parse(**TAPER)), wax_box(parse(**STUB))
    assert taper[1] / stub[1] == pytest.approx(2.5, abs=0.02)
    assert taper[0] / stub[0] == pytest.approx(22 / 30, abs=0.02)


def test_the_picture_holds_both_candles_and_the_wick():
    width, height = size(parse(**TAPER))
    assert width == pytest.approx(2 * 22 * SCALE + GAP + 2 * EDGE, abs=0.02)
    assert height == pytest.approx(250 * SCALE + ARCH + 2 * EDGE, abs=0.02)


def test_scale_makes_everything_but_the_wick_larger():
    assert wax_box(parse(**TAPER, scale=0.32))[1] == pytest.approx(80, abs=0.02)


def test_wax_is_in_its_own_colour_with_an_ink_outline():
    svg = parse(**TAPER)
    fills = [path.get("fill") for path in svg.iter(f"{SVG}path")]
    assert fills.count("#f0e3c4") == 2
    assert INK in fills


def test_firsts_hang_straight_and_are_decorative():
    svg = parse(**TAPER)
    assert svg.get("aria-hidden") == "true"
    assert not [group for group in svg.iter(f"{SVG}g") if group.get("transform")]
    assert svg.find(f"{SVG}title") is None


def test_a_second_hangs_one_candle_askew_and_says_so():
    svg = parse(**TAPER, second=True)
    turned = [group.get("transform") for group in svg.iter(f"{SVG}g") if group.get("transform")]
    assert len(turned) == 1
    assert turned[0].startswith(f"rotate({ASKEW} ")
    assert svg.get("role") == "img"
    assert svg.find(f"{SVG}title").text == "second"


def test_a_leaning_candle_stays_inside_the_picture():
    straight, leaning = size(parse(**TAPER))[0], size(parse(**TAPER, second=True))[0]
    assert leaning - straight > 250 * SCALE * 0.12


def test_title_and_grade_are_told_together():
    svg = parse(**TAPER, second=True, title="Ivory taper")
    assert svg.find(f"{SVG}title").text == "Ivory taper, second"


def test_words_and_colour_are_escaped():
    drawn = draw_pair(**{**TAPER, "colour": '"><script>'}, title="<b>&'\"")
    svg = ElementTree.fromstring(drawn)
    assert "<script" not in drawn
    assert svg.find(f"{SVG}title").text == "<b>&'\""


def test_no_style_attributes_and_no_ids():
    drawn = draw_pair(**TAPER, second=True)
    assert "style=" not in drawn
    assert not re.search(r"\sid=", drawn)


@pytest.mark.parametrize(
    "shape",
    [{"length_mm": 0}, {"length_mm": -1}, {"base_mm": 0, "tip_mm": 0}, {"tip_mm": 0}, {"tip_mm": 23}, {"base_mm": -5}],
)
def test_a_shape_that_cannot_hang_is_refused(shape):
    with pytest.raises(ValueError, match="no candle is"):
        draw_pair(**{**TAPER, **shape})


def test_a_candle_is_drawn_in_its_own_shape_and_colour():
    shape = {name: mm for name, mm in TAPER.items() if name != "colour"}
    candle = SimpleNamespace(**shape, colour=SimpleNamespace(hex=TAPER["colour"]))
    assert draw_pair_of(candle, second=True, title="Ivory") == draw_pair(**TAPER, second=True, title="Ivory")
