"""Frames from the tablet: read with the gauge, hung, threaded, scrapped."""

import re
import uuid
from decimal import Decimal

import pytest
from django.urls import reverse

from production.domain.turns import count_turn, read_gauge
from production.models import Frame, GaugeReading, Step
from tests.factories import make_candle
from tests.factories.floor import make_frame, make_frame_kind, make_recipe, make_want
from tests.production.on_the_floor import counters, make_floor
from tests.production.test_floor_pages import at, headline, of, tap, text

pytestmark = pytest.mark.django_db


@pytest.fixture
def dipper(client_for):
    return client_for("dipper")


@pytest.fixture
def floor(dipper):
    return make_floor(2, by=dipper.person)


def test_a_reading_takes_two_taps(dipper, floor):
    for _ in range(10):
        count_turn(run=floor.run, by=floor.by)
    assert of("reading", floor) in text(dipper.get(at("carousel", floor)))
    pad = text(dipper.get(of("reading", floor)))
    assert re.findall(r'name="mm" value="([\d.]+)"', pad) == [f"{7.3 + n / 10:.1f}" for n in range(15)]
    response = dipper.post(of("reading", floor), {"tap": str(uuid.uuid4()), "mm": "8.1"}, follow=True)
    assert "F7: 8.1 mm is kept." in text(response)
    assert GaugeReading.objects.get().person == dipper.person


@pytest.mark.parametrize("mm", ["", "0", "-1", "400", "1000000000", "9" * 40, "thick", "\x00", "3"])
def test_a_refused_reading_keeps_what_was_typed(dipper, floor, mm):
    for _ in range(10):
        count_turn(run=floor.run, by=floor.by)
    read_gauge(frame=floor.frames[0], mm=Decimal("8"), by=floor.by)
    response = dipper.post(of("reading", floor), {"tap": str(uuid.uuid4()), "mm": mm})
    assert response.status_code == 422
    assert "Nothing was changed" in text(response)
    if mm.strip("\x00"):
        assert f'value="{mm}"' in text(response)
    assert GaugeReading.objects.count() == 1


def test_a_reading_out_of_line_says_why_that_matters(dipper, floor):
    for _ in range(20):
        count_turn(run=floor.run, by=floor.by)
    read_gauge(frame=floor.frames[0], mm=Decimal("8"), by=floor.by)
    for _ in range(3):
        count_turn(run=floor.run, by=floor.by)
    read_gauge(frame=floor.frames[0], mm=Decimal("18.5"), by=floor.by)
    html = text(dipper.get(at("carousel", floor)))
    assert "18.5 mm after 23 dips is out of line" in html
    assert "It matters because" in html
    assert "18.5 out of line" in html


def test_overshoot_is_warned_of_before_it_happens(dipper, floor):
    for n in range(1, 35):
        count_turn(run=floor.run, by=floor.by)
        if n % 8 == 0:
            read_gauge(frame=floor.frames[0], mm=Decimal(2) + n * Decimal("0.6"), by=floor.by)
    assert Frame.objects.get(code="F7").dips == 34
    html = text(dipper.get(at("carousel", floor)))
    assert re.search(r'<p class="caution">F7: .*22\.5 mm', html)


def test_a_frame_is_hung_from_its_page(dipper, floor):
    frame = make_frame(floor.candle, code="F20")
    page = text(dipper.get(at("hang", floor)))
    assert "F20: 48 pairs" in page
    sent = tap(floor, frame=frame.pk, position=5)
    for _ in range(2):
        response = dipper.post(at("hang", floor), sent, follow=True)
        assert "F20 hangs at position 5." in text(response)
    assert Step.objects.filter(kind="hang", frame=frame).count() == 1


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({"position": 1}, "F7 hangs at position 1 already."),
        ({"position": 9}, "Select a valid choice"),
        ({"frame": ""}, "Choose a frame."),
        ({"frame": "F7"}, "hangs on Carousel 2 at position 1 already."),
        ({"frame": 10**9}, "Select a valid choice"),
    ],
)
def test_a_refused_hanging_says_why(dipper, floor, fields, why):
    frame = make_frame(floor.candle, code="F20")
    was = counters()
    if fields.get("frame") == "F7":
        fields = {"frame": floor.frames[0].pk}
    response = dipper.post(at("hang", floor), tap(floor, **{"frame": frame.pk, "position": 4, **fields}))
    assert response.status_code == 422
    assert why in text(response)
    assert counters() == was


def test_a_frame_is_threaded_for_those_who_wait(dipper):
    candle = make_candle(name="Ivory taper 250 x 22")
    make_recipe(candle)
    lamp = make_want(candle, 20, for_whom="The Lamp Room")
    kind = make_frame_kind(name="Iron frame")
    url = f"{reverse('thread')}?candle={candle.pk}&kind={kind.pk}"
    response = dipper.get(url)
    assert headline(response).startswith("Iron frame takes 48 pairs of Ivory taper 250 x 22;")
    assert 'value="20"' in text(response)
    refused = dipper.post(url, {"hung": "0", f"want_{lamp.pk}": "20"})
    assert refused.status_code == 422
    refused = dipper.post(url, {"hung": "48", f"want_{lamp.pk}": "48"})
    assert "The Lamp Room waits for 20 pairs more" in text(refused)
    assert 'value="48"' in text(refused)
    response = dipper.post(url, {"hung": "48", f"want_{lamp.pk}": "20"}, follow=True)
    assert "F1 is threaded with 48 pairs of Ivory taper 250 x 22" in text(response)
    assert dict(Frame.objects.get().promises.values_list("want", "pairs")) == {lamp.pk: 20}
    assert "20 for The Lamp Room" in text(dipper.get(reverse("threaded")))


@pytest.mark.parametrize("query", ["", "?candle=x&kind=y", "?candle=999999999999&kind=1", "?candle=%00"])
def test_threading_asks_for_a_candle_first(dipper, query):
    assert headline(dipper.get(reverse("thread") + query)) == "Thread a frame for which candle?"
    assert dipper.post(reverse("thread") + query, {"hung": "3"}).status_code == 422


def test_a_threaded_frame_is_scrapped_with_a_reason(dipper):
    frame = make_frame(code="F3")
    url = reverse("frame_scrap", args=[frame.pk])
    assert dipper.post(url, {"reason": " "}).status_code == 422
    assert "F3 is scrapped" in text(dipper.post(url, {"reason": "Dropped."}, follow=True))
    assert dipper.post(url, {"reason": "Dropped."}).status_code == 422
    assert Frame.objects.get().state == "scrapped"
