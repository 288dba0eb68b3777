"""Grading in a real browser: counted off on a tablet, put right, and nothing for axe to find."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from production.domain.wick_ends import book_wick_ends
from production.models import Grading
from tests.factories import make_candle, make_person
from tests.factories.floor import make_frame, make_reading, make_run
from tests.orders.grading import grade, hang, held, wanted


@pytest.fixture
def floor():
    """A dipper; a frame hung for an order, hard and ready; one that hardens; and one graded with seconds."""
    dipper, candle = make_person("dipper"), make_candle()
    order = wanted((candle, 40))
    ready = hang(candle, {order: 40}, code="F7")
    hardening = make_frame(
        candle, state="off", code="F8", off_at=timezone.now(), hard_at=timezone.now() + timedelta(hours=20)
    )
    graded = make_frame(candle, state="off", code="F9", dips=34)
    run = make_run(frames=[ready, hardening, graded], by=dipper)
    for dips, mm in ((8, 7), (20, 14), (34, 22)):
        make_reading(graded, mm, run=run, dips=dips, by=dipper)
    grade(graded, 36, 9)
    book_wick_ends(kind="weighed in", grams=2000, by=dipper)
    return {"dipper": dipper, "order": order, "ready": ready, "hardening": hardening, "graded": graded}


def test_a_frame_is_counted_off_by_taps(page, sign_in, check_axe, floor):
    sign_in(page, floor["dipper"])
    page.set_viewport_size({"width": 820, "height": 1100})
    page.goto(reverse("frames_to_grade"))
    page.get_by_role("link", name="Grade F7").first.click()
    for _ in range(3):
        page.get_by_role("button", name="+1 Bubbles").click()
    page.get_by_role("textbox", name="Firsts").fill("42")
    page.get_by_text("45 of 48 counted").wait_for()
    page.get_by_role("button", name="Grade F7").click()
    page.get_by_text("45 of 48 pairs are counted: 3 are missing.").wait_for()
    check_axe(page)
    page.get_by_role("textbox", name="For remelt").fill("1")
    page.get_by_role("button", name="The 2 left are firsts").click()
    page.get_by_text("48 of 48 counted").wait_for()
    page.get_by_role("button", name="Grade F7").click()
    page.get_by_text("F7 is graded.").wait_for()
    assert held(floor["order"]) == [40]
    row = Grading.objects.get(frame=floor["ready"])
    assert (row.firsts, row.seconds, row.remelt) == (44, 3, 1)


def test_a_grading_is_put_right_by_keyboard(page, sign_in, floor):
    sign_in(page, floor["dipper"])
    page.goto(floor["graded"].get_absolute_url())
    page.get_by_role("link", name="Put the grading right").press("Enter")
    page.get_by_role("textbox", name="Firsts").fill("38")
    page.get_by_text("50 of 48 counted: 2 too many").wait_for()
    page.get_by_role("textbox", name="Bubbles").fill("7")
    page.get_by_label("What was wrong with the first count").fill("two were only dusty")
    page.keyboard.press("Control+Enter")
    page.get_by_text("says now: 38 firsts, 7 seconds (7 bubbles), 3 for remelt").wait_for()
