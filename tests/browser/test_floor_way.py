"""The floor's straight way: an order stock can't fill, followed through its frames until its line is covered."""

import io
import re
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from inventory.audit import breaches as stock_breaches
from inventory.models import Lot
from orders.audit import breaches as order_breaches
from orders.models import Order, OrderLine
from production.audit import breaches as floor_breaches
from production.models import Frame, GaugeReading, Grading, Want
from tests.factories import (
    make_box_kind,
    make_candle,
    make_carousel,
    make_frame_kind,
    make_hours,
    make_lot,
    make_person,
    make_recipe,
    make_shop,
    make_stage,
    make_van_days,
    make_vat,
    make_workshop,
)

pytestmark = pytest.mark.django_db(transaction=True)
PAIRS, IN_STOCK, FRAMES, DIPS = 300, 120, 3, 7
FIRSTS, BUBBLES, REMELT = 84, 8, 4  # of the 96 pairs on each frame


@pytest.fixture
def owner():
    return make_person("owner", full_name="Edda Marlow")


@pytest.fixture
def candle(owner):
    """A taper of which 120 pairs lie in stock, and a floor that can dip it: thick coats, so that a few dips do."""
    make_workshop(), make_van_days(), make_box_kind(standard=True, limit_g=60_000), make_hours()
    candle = make_candle(code="IV250", name="Ivory taper 250 x 22")
    make_lot(candle, IN_STOCK, by=owner)
    make_vat(name="Ivory vat", wax=candle.wax, colour=candle.colour)
    make_carousel(name="Anvil"), make_frame_kind(name="Eight-bar frame", bars=8, usable_mm=800)
    recipe = make_recipe(candle)
    recipe.stages.update(growth_mm=Decimal("2.8"))
    make_stage(recipe, place=2, finish_dips=1, growth_mm=Decimal("0.2"))
    return candle


@pytest.fixture
def shop():
    return make_shop(name="Lamp and Larder", town="Wexcombe")


@pytest.fixture
def desk(page, sign_in, owner):
    sign_in(page, owner)
    return page


def take_order(page, candle) -> Order:
    page.goto(reverse("order_new"))
    page.keyboard.type("larder")
    page.wait_for_selector("#shops form[data-typed=larder]")
    page.keyboard.press("Enter")
    page.wait_for_url("**/entry/")
    page.keyboard.type(candle.code.lower())
    page.keyboard.press("Enter")
    page.keyboard.type(str(PAIRS))
    page.keyboard.press("Enter")
    page.get_by_text("180 open").wait_for()
    page.keyboard.press("Control+Enter")
    order = Order.objects.get()
    page.wait_for_url(f"**/orders/{order.number}/")
    page.get_by_role("button", name="Set aside what is free").click()
    page.get_by_text(f"Order {order.number}: 180 of 300 pairs for Lamp and Larder are open").wait_for()
    return order


def thread_frames(page) -> None:
    """From the dip list, as many as it says."""
    page.goto(reverse("dip_list"))
    page.get_by_text("180 still to hang on 3 frames").wait_for()
    page.get_by_text("3 frames: 2 would do only").wait_for()
    for n in range(FRAMES):
        page.goto(reverse("dip_list"))
        page.get_by_role("link", name="Thread one").click()
        page.get_by_role("button", name="Thread it").click()
        page.get_by_text(f"F{n + 1}").first.wait_for()
    page.goto(reverse("dip_list"))
    page.get_by_text("nothing is left to hang").wait_for()


def hang_frames(page) -> None:
    page.goto(reverse("floor"))
    page.get_by_role("link", name=re.compile("Anvil")).first.click()
    page.get_by_role("link", name="Begin a run").click()
    page.get_by_label("Over vat").select_option(index=1)
    page.get_by_role("button", name=re.compile("Begin")).click()
    for n in range(FRAMES):
        page.get_by_role("link", name="Hang a frame").click()
        page.get_by_label("Frame").select_option(label=f"F{n + 1}: 96 pairs of Ivory taper 250 x 22")
        page.get_by_role("button", name="Hang it").click()
        page.get_by_text(f"F{n + 1} hangs at position {n + 1}.").wait_for()


def dip(page, turn: int) -> None:
    page.get_by_role("button", name=re.compile("^Turn done")).click()
    page.get_by_text(f"Turn {turn} is done.").wait_for()


def gauge(page, code: str) -> None:
    """Two taps: the frame's reading, and the value that is expected."""
    page.get_by_role("link", name=re.compile(f": {code}\\b")).click()
    page.get_by_role("link", name=f"Gauge reading {code}").click()
    page.get_by_role("group", name="Likely diameters").locator("button.likely").click()
    page.get_by_text(re.compile(f"{code}: .* mm is kept")).wait_for()


def finish(page) -> None:
    """Into the finish stage, one hot dip, and off to harden."""
    for n in range(FRAMES):
        page.get_by_role("link", name=re.compile(f": F{n + 1}\\b")).click()
        page.get_by_role("button", name=f"F{n + 1}: next stage").click()
        page.get_by_text(re.compile(f"F{n + 1}.*stage")).first.wait_for()
    dip(page, DIPS + 1)
    for n in range(FRAMES):
        page.get_by_role("link", name=re.compile(f": F{n + 1}\\b")).click()
        page.get_by_role("button", name=f"Take off F{n + 1}, finished").click()
        page.get_by_text(re.compile(f"F{n + 1} is off and hardens until")).wait_for()


def grade(page, n: int) -> None:
    page.goto(reverse("frames_to_grade"))
    page.get_by_role("link", name=f"Grade F{n}").first.click()
    page.get_by_role("textbox", name="Firsts").fill(str(FIRSTS))
    page.get_by_role("textbox", name="Bubbles").fill(str(BUBBLES))
    page.get_by_role("textbox", name="For remelt").fill(str(REMELT))
    page.keyboard.press("Control+Enter")
    page.wait_for_url(re.compile(r"/frames/\d+/$|to-grade/$"))


def note_of(page, order: Order) -> str:
    """Packed and closed: what stands on the delivery note."""
    page.goto(order.get_absolute_url())
    page.get_by_role("button", name="Start packing").click()
    page.get_by_role("button", name="Close the boxes").click()
    page.get_by_text("DN-1001 is made").wait_for()
    answer = page.request.get(order.deliveries.get().note.get_absolute_url())
    return " ".join(sheet.extract_text() for sheet in PdfReader(io.BytesIO(answer.body())).pages)


def test_an_order_is_covered_through_its_frames_without_being_touched(desk, check_axe, candle, shop):
    page = desk
    order = take_order(page, candle)
    page.goto(reverse("dip_list"))
    check_axe(page)
    thread_frames(page)
    hang_frames(page)
    version = Order.objects.get().version
    for turn in range(1, DIPS + 1):
        dip(page, turn)
        if turn in (3, DIPS):
            gauge(page, "F1")
    assert GaugeReading.objects.count() == 2
    page.goto(order.get_absolute_url())
    page.get_by_text(re.compile("from frame F1, .*ready about")).wait_for()
    check_axe(page)

    page.goto(Frame.objects.first().carousel.get_absolute_url())
    finish(page)
    # A night passes.
    Frame.objects.update(hard_at=timezone.now() - timedelta(minutes=1))
    for n in range(1, FRAMES + 1):
        grade(page, n)

    line = OrderLine.objects.get()
    assert (line.pairs, line.set_aside, Order.objects.get().version) == (PAIRS, PAIRS, version)
    assert not Want.objects.exists()
    page.goto(order.get_absolute_url())
    page.get_by_text(f"Order {order.number}: all 300 pairs for Lamp and Larder are covered").wait_for()
    page.goto(reverse("seconds_shelf"))
    page.get_by_text("Ivory taper 250 x 22").first.wait_for()
    assert sum(lot.free for lot in Lot.objects.filter(grade="seconds")) == FRAMES * BUBBLES

    note = note_of(page, order)
    lots = [promise.lot for promise in line.promises.select_related("lot")]
    assert len(lots) == FRAMES + 1
    assert all(lot.code in note for lot in lots)
    follow_back(page, check_axe)
    assert [*stock_breaches(), *floor_breaches(), *order_breaches()] == []


def follow_back(page, check_axe) -> None:
    """From a lot on the shelf to the frame it hung on, its run and vat, and what the gauge said."""
    grading = Grading.objects.get(frame__code="F1")
    page.goto(grading.lot.get_absolute_url())
    page.get_by_role("link", name="Where it was dipped").click()
    check_axe(page)
    page.get_by_text("Ivory vat").first.wait_for()
    for reading in GaugeReading.objects.all():
        assert page.get_by_text(f"{reading.mm:.1f}").count()
    page.get_by_role("link", name="Frame F1").click()
    page.get_by_text("Lamp and Larder").first.wait_for()
