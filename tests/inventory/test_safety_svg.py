"""The marks on a candle's label."""

from xml.etree import ElementTree

import pytest

from inventory.safety_svg import ALWAYS, HOLDER, MORE, WARNING, draw_mark, marks_for


def test_a_label_carries_the_sign_and_the_three_always():
    assert marks_for(needs_holder=False) == [WARNING, *ALWAYS]


def test_a_candle_that_cannot_stand_asks_for_a_holder():
    assert marks_for(needs_holder=True)[4] is HOLDER


def test_more_marks_stand_behind_in_the_order_asked():
    assert [mark.key for mark in marks_for(needs_holder=True, more=("trim", "apart"))][5:] == ["trim", "apart"]
    with pytest.raises(KeyError):
        marks_for(needs_holder=True, more=("nothing",))


@pytest.mark.parametrize("mark", [WARNING, *ALWAYS, HOLDER, *MORE], ids=lambda mark: mark.key)
def test_each_mark_says_in_words_what_it_shows_and_carries_no_style(mark):
    svg = ElementTree.fromstring(draw_mark(mark))
    assert svg.find("{http://www.w3.org/2000/svg}title").text == mark.sentence
    assert svg.get("height") == svg.get("width") == "7mm"
    assert not any(each.get("style") or each.get("class", "mark") != "mark" for each in svg.iter())


def test_a_mark_below_5_mm_is_refused():
    draw_mark(WARNING, size_mm=5)
    with pytest.raises(ValueError, match="at least 5 mm"):
        draw_mark(WARNING, size_mm=4.9)
