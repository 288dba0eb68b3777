"""The carousel and the growth picture: whole in words, without a style of their own, for any state."""

import re
from xml.etree import ElementTree

import pytest

from production.carousel_svg import Over, Spot, draw_carousel
from production.growth import Reading, flat_prior, usual_prior, with_readings
from production.growth_svg import Gauge, Mark, draw_growth

GAUGE = Gauge(21.5, 22.5, 21.7)
IVORY = "#f0e3c4"


def spots(of=6, hung=3):
    full = [
        Spot(n, f"F{n}", "Ivory taper 250 x 22", f"{n} dips left", 0.2 * n, IVORY, done=n == 2)
        for n in range(1, hung + 1)
    ]
    return [*full, *(Spot(n) for n in range(hung + 1, of + 1))]


def circles(svg):
    return re.findall(r"<circle [^>]*>", svg)


def test_the_carousel_is_told_in_words():
    svg = draw_carousel(spots(), over=Over("Ivory vat", IVORY), next_position=2, name="Carousel 2")
    assert 'role="img"' in svg
    label = ElementTree.fromstring(svg).attrib["aria-label"]
    assert label == (
        "Carousel 2 over Ivory vat. position 1: F1 Ivory taper 250 x 22, 1 dips left; "
        "position 2: F2 Ivory taper 250 x 22, 2 dips left; position 3: F3 Ivory taper 250 x 22, 3 dips left. "
        "F2 dips next."
    )
    assert "style" not in svg
    assert svg.count("stroke-dasharray") == 3


def test_the_next_frame_stands_over_the_vat():
    for position in (1, 2, 3):
        svg = draw_carousel(spots(), over=Over("Vat", IVORY), next_position=position, name="C")
        lowest = max(re.findall(r'<text x="320.0" y="([\d.]+)"[^>]*>([^<]*)', svg), key=lambda row: float(row[0]))
        assert f"{position} dips left" in lowest[1]


def test_a_candle_grows_inside_its_ring_and_over_it_when_it_overshot():
    def radius(share):
        svg = draw_carousel([Spot(1, "F1", "Stub", "", share, IVORY)], over=None, next_position=1, name="C")
        return float(re.search(rf'r="([\d.]+)" fill="{IVORY}"', svg).group(1))

    assert radius(0.1) < radius(0.5) < radius(1) < radius(1.1) == pytest.approx(38.5, abs=0.1)
    assert radius(3) == radius(1.12)


@pytest.mark.parametrize("positions", [1, 2, 3, 6, 8, 12])
def test_any_number_of_positions_is_drawn(positions):
    svg = draw_carousel(spots(positions, positions), over=None, next_position=None, name="C")
    ElementTree.fromstring(svg)
    assert svg.count("<text") >= positions


def test_names_are_escaped():
    svg = draw_carousel([Spot(1, "<F1>", '"Stub" & <b>', "x", 0.5, IVORY)], over=None, next_position=1, name="<C>")
    ElementTree.fromstring(svg)
    assert "<b>" not in svg


def test_growth_has_axes_readings_line_band_and_gauge():
    readings = [(5, 5.0), (10, 8.1), (15, 11.0)]
    line = with_readings(usual_prior(), [Reading(*each) for each in readings])
    marks = [Mark(dips, mm, odd=dips == 15) for dips, mm in readings]
    svg = draw_growth(line, marks, GAUGE, begun=0, dips=16, most=36, name="F7")
    root = ElementTree.fromstring(svg)
    assert root.attrib["aria-label"].startswith("Growth of F7: 16 dips, about 11.")
    assert "5.0 mm after 5, 8.1 mm after 10, 11.0 mm after 15 (out of line)" in root.attrib["aria-label"]
    assert len(circles(svg)) == 3
    assert svg.count("<polygon") == svg.count("<polyline") == 1
    for told in (">dips<", ">mm<", ">20<", "gauge 21.5 to 22.5 mm", "now 16", "11.0 out of line"):
        assert told in svg, told
    assert "style" not in svg


def test_growth_without_readings_or_knowledge_is_still_a_picture():
    svg = draw_growth(usual_prior(), [], GAUGE, begun=0, dips=0, most=0, name="F7")
    assert "none yet" in ElementTree.fromstring(svg).attrib["aria-label"]
    assert "<polygon" not in draw_growth(flat_prior(), [], GAUGE, begun=0, dips=0, most=0, name="F7")


def test_an_overshot_frame_stays_on_the_picture():
    line = usual_prior(2, 1.2)
    svg = draw_growth(line, [Mark(30, 38.0)], GAUGE, begun=0, dips=30, most=31, name="F7")
    for x, y in re.findall(r'cx="([\d.]+)" cy="([\d.]+)"', svg):
        assert 0 < float(x) < 560
        assert 0 < float(y) < 300
