"""Faults and firsts: the p-chart by frame, who is out of control, and the seconds by fault."""

import re
from datetime import timedelta
from xml.etree import ElementTree

import pytest
from django.urls import reverse
from django.utils import timezone

from production.models import FloorFigures
from production.p_chart import p_chart
from production.p_chart_svg import draw_p_chart
from tests.factories import make_candle, make_person, make_wax
from tests.factories.floor import make_frame, make_run, make_vat, make_vat_reading
from tests.orders.grading import grade

pytestmark = pytest.mark.django_db


@pytest.fixture
def dipper(client_for):
    return client_for("dipper")


def graded(seconds, days_ago=5, candle=None, run=None, **fields):
    """A frame taken off some days ago, dipped in `run`, with so many seconds (bubbles) of 48."""
    off = timezone.now() - timedelta(days=days_ago)
    frame = make_frame(candle, state="off", off_at=off, dips=30, **fields)
    if run:
        run.frames.create(frame=frame, dips=30)
    grade(frame, frame.hung - seconds, seconds)
    return frame


def shown(client, **asked):
    response = client.get(reverse("faults"), asked)
    assert response.status_code == 200
    return response


def said(response) -> str:
    return re.search(r"<h1>(.*?)</h1>", response.content.decode(), re.DOTALL).group(1)


def test_a_frame_out_of_control_is_named_with_run_vat_and_heat(dipper):
    candle, vat = make_candle(), make_vat(name="North vat")
    run = make_run(vat=vat, code="R2401")
    make_vat_reading(vat, celsius=64, at=timezone.now() - timedelta(days=6))
    for n in range(20):
        graded(2, days_ago=40 - n, candle=candle)
    graded(14, candle=candle, run=run, code="F99")
    response = shown(dipper)
    assert said(response) == ("5.4 % of 1,008 pairs on 21 graded frames were seconds; 1 frame is out of control: F99.")
    row = re.search(r"<tr[^>]*>(?:(?!</tr>).)*F99.*?</tr>", response.content.decode(), re.DOTALL).group(0)
    for word in ("14 of 48 were seconds, 29 %", "R2401", "North vat", "64.0 °C", "14 bubbles"):
        assert word in row


def test_all_within_limits_is_said(dipper):
    for n in range(4):
        graded(3, days_ago=n + 2)
    assert said(shown(dipper)) == "6.2 % of 192 pairs on 4 graded frames were seconds; no frame is out of control."


def test_no_frame_is_said(dipper):
    assert said(shown(dipper)) == "No frame graded in that time fits."


def test_frames_without_a_second_are_charted(dipper):
    graded(0)
    assert said(shown(dipper)).startswith("0.0 % of 48 pairs")


def test_a_stretch_on_one_side_is_told(dipper):
    candle = make_candle()
    for n in range(16):
        graded(1 if n < 8 else 4, days_ago=40 - n, candle=candle, code=f"F{n + 1}")
    text = shown(dipper).content.decode()
    assert "From F1 to F8, 8 frames in a row had fewer seconds than usual" in text
    assert "From F9 to F16, 8 frames in a row had more seconds than usual" in text


def test_limits_follow_the_frames_size():
    small, large = p_chart([(3, 24), (12, 96)]).points
    assert small.upper > large.upper


def test_it_narrows_by_time_candle_wax_and_vat(dipper):
    candle, wax = make_candle(), make_wax(name="Beeswax")
    run = make_run(vat=make_vat(name="Vat of them all"))
    mine = make_candle(wax=wax)
    graded(1, days_ago=3, candle=mine, run=run)
    graded(1, days_ago=50, candle=candle)
    graded(1, days_ago=200, candle=candle)
    counts = {
        (): "2 graded frames",
        ("since", "30"): "1 graded frame ",
        ("since", "365"): "3 graded frames",
        ("since", "all"): "3 graded frames",
        ("candle", mine.pk): "1 graded frame ",
        ("wax", wax.pk): "1 graded frame ",
        ("vat", run.vat.pk): "1 graded frame ",
    }
    for asked, words in counts.items():
        assert words in said(shown(dipper, **({asked[0]: asked[1]} if asked else {}))), asked


@pytest.mark.parametrize(
    "asked", [{"since": "12"}, {"candle": "x"}, {"vat": "9" * 30}, {"wax": "\x00"}, {"since": "\x00"}]
)
def test_absurd_questions_are_no_error(dipper, asked):
    graded(1)
    shown(dipper, **asked)


def test_by_person_only_where_the_owner_switched_it_on(dipper):
    by = make_person("dipper", full_name="Ada Poole")
    graded(1, run=make_run(by=by))
    graded(1)
    assert "Ada Poole" not in shown(dipper).content.decode()
    assert "2 graded frames" in said(shown(dipper, person=by.pk))
    FloorFigures.objects.update_or_create(pk=1, defaults={"faults_by_person": True})
    assert "Ada Poole" in shown(dipper).content.decode()
    assert "1 graded frame " in said(shown(dipper, person=by.pk))


def test_faults_by_share(dipper):
    graded(6)
    text = shown(dipper).content.decode()
    row = re.search(r"<tr[^>]*>(?:(?!</tr>).)*bubbles.*?</tr>", text.partition("Seconds by fault</h2>")[2], re.DOTALL)
    for word in ("12.5 %", "100 %", "air left in the wick"):
        assert word in row.group(0)


def test_it_asks_as_often_for_one_frame_as_for_thirty(dipper, django_assert_max_num_queries):
    candle, run = make_candle(), make_run()
    for seconds in (20, 1, 1, 1, 1, 1):
        graded(seconds, candle=candle, run=run)
    assert "1 frame is out of control" in said(shown(dipper))

    def queries():
        with django_assert_max_num_queries(40) as asked:
            shown(dipper)
        return len(asked)

    few = queries()
    for n in range(30):
        graded(20 if n % 10 == 0 else 1, days_ago=n + 2, candle=candle, run=run)
    assert queries() == few


@pytest.mark.parametrize("role", ["packer", "bookkeeper"])
def test_it_is_the_floors_page(client_for, role):
    assert client_for(role).get(reverse("faults")).status_code == 403


def test_it_refuses_to_be_posted(dipper):
    assert dipper.post(reverse("faults")).status_code == 405


@pytest.mark.parametrize("frames", [1, 2, 40, 300])
def test_the_drawing_is_whole_and_keeps_within_its_field(frames):
    counts = [(n % 5 if n % 17 else 20, 48) for n in range(frames)]
    days = [timezone.localdate() - timedelta(days=frames - n) for n in range(frames)]
    drawn = draw_p_chart(p_chart(counts), [f"F{n}" for n in range(frames)], days)
    root = ElementTree.fromstring(drawn)
    points = list(root.iter("{http://www.w3.org/2000/svg}circle"))
    assert len(points) == frames + len(p_chart(counts).signals)
    assert all(0 <= float(c.get("cx")) <= 920 and 0 <= float(c.get("cy")) <= 320 for c in points)
    assert "style=" not in drawn
