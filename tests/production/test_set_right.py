"""Setting the floor right: the book says what hangs, and the differences are kept with a reason."""

import uuid
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Record
from production.domain.runs import end_run
from production.domain.set_right import Seen, set_right
from production.domain.turns import count_turn, mark_done, read_gauge
from production.domain.undo import last_step, undo_step
from production.models import Frame, GaugeReading, RunFrame, Step
from tests.factories.floor import make_frame, make_run
from tests.production.on_the_floor import NOON, counters, make_floor
from tests.production.test_floor_pages import headline, text
from tests.production.test_frames import refusal

pytestmark = pytest.mark.django_db


@pytest.fixture
def floor():
    floor = make_floor(2)
    for _ in range(10):
        count_turn(run=floor.run, by=floor.by)
    floor.frames = list(Frame.objects.order_by("pk"))
    return floor


def right(floor, hangs, reason="dipped without the tablet", **fields):
    return set_right(run=floor.run, hangs=hangs, reason=reason, by=floor.by, **fields)


def test_what_hangs_now_replaces_what_the_book_said(floor):
    new, (seven, eight) = make_frame(floor.candle, code="F20"), floor.frames
    step = right(floor, [Seen(3, seven, dips=15, mm=Decimal("11.2")), Seen(1, new, dips=4)], turns=15, now=NOON)
    now = {frame.code: frame for frame in Frame.objects.all()}
    assert [(frame.position, frame.dips, frame.stage_dips) for frame in (now["F7"], now["F20"])] == [
        (3, 15, 15),
        (1, 4, 4),
    ]
    assert (now["F8"].state, now["F8"].position) == ("threaded", None)
    assert floor.now(floor.run).turns == 15
    assert dict(RunFrame.objects.values_list("frame__code", "dips")) == {"F7": 15, "F8": 10, "F20": 4}
    assert GaugeReading.objects.get().dips == 15
    assert (step.kind, step.reason, step.person, step.at) == ("set right", "dipped without the tablet", floor.by, NOON)
    assert step.before["differences"] == [
        "F8 set aside",
        "F7 at position 3",
        "F7 15 dips, not 10",
        "F7 11.2 mm",
        "F20 at position 1",
        "F20 4 dips, not 0",
        "turn 15, not 10",
    ]
    assert "F7 15 dips, not 10" in Record.objects.filter(subject="run").first().what
    assert eight.code == "F8"


def test_a_done_frame_that_is_gone_hardens(floor):
    mark_done(frame=floor.frames[0], by=floor.by)
    right(floor, [Seen(2, floor.frames[1])], now=NOON)
    gone = floor.now(floor.frames[0])
    assert (gone.state, gone.off_at) == ("off", NOON)
    assert gone.hard_at > NOON


def test_dips_are_reckoned_from_the_gauge(floor):
    seven, eight = floor.frames
    read_gauge(frame=seven, mm=Decimal("8"), by=floor.by)
    right(floor, [Seen(1, seven, mm=Decimal("14")), Seen(2, eight)])
    assert 18 <= floor.now(seven).dips <= 22
    assert floor.now(eight).dips == 10


def test_two_frames_change_places(floor):
    seven, eight = floor.frames
    was = counters()
    right(floor, [Seen(2, seven), Seen(1, eight)])
    assert [floor.now(frame).position for frame in (seven, eight)] == [2, 1]
    undo_step(step=last_step(floor.now(floor.run)), by=floor.by)
    assert counters() == was


def test_the_same_tap_sets_right_once(floor):
    tap = uuid.uuid4()
    for _ in range(2):
        right(floor, [Seen(1, floor.frames[0], dips=12)], tap=tap)
    assert Step.objects.filter(kind="set right").count() == 1


@pytest.mark.parametrize(
    ("hangs", "why"),
    [
        ([(1, 0, {}), (1, 1, {})], "Position 1 stands there twice"),
        ([(1, 0, {}), (2, 0, {})], "F7 stands there twice"),
        ([(7, 0, {}), (2, 1, {})], "positions 1 to 6"),
        ([(1, 0, {"dips": -1}), (2, 1, {})], "Between 0 and 999"),
        ([(1, 0, {"dips": 10**9}), (2, 1, {})], "Between 0 and 999"),
        ([(1, 0, {"mm": Decimal(400)}), (2, 1, {})], "below 300"),
        ([(1, 0, {"mm": Decimal(0)}), (2, 1, {})], "above 0"),
        ([(1, 0, {}), (2, 1, {})], "The book says the same"),
    ],
)
def test_what_cannot_hang_is_refused(floor, hangs, why):
    was = counters()
    seen = [Seen(position, floor.frames[which], **fields) for position, which, fields in hangs]
    assert why in refusal(right, floor, seen)
    assert counters() == was


def test_a_reason_is_asked_for(floor):
    assert "Say why" in refusal(right, floor, [Seen(1, floor.frames[0])], reason="  ")


@pytest.mark.parametrize("state", ["off", "graded", "scrapped"])
def test_frames_that_are_finished_do_not_hang(floor, state):
    frame = make_frame(floor.candle, state=state, code="F30")
    assert "F30 is" in refusal(right, floor, [Seen(1, frame)])


def test_a_frame_of_another_carousel_stays_there(floor):
    other = make_run()
    frame = make_frame(floor.candle, state="hanging", carousel=other.carousel, code="F40")
    assert "F40 is hanging elsewhere" in refusal(right, floor, [Seen(3, frame)])


def test_a_closed_run_is_not_set_right(floor):
    end_run(run=floor.run, by=floor.by)
    assert "was ended" in refusal(right, floor, [Seen(1, floor.frames[0], dips=3)])


def page_of(floor):
    return reverse("set_right", args=[floor.carousel.pk])


def sent(floor, **fields):
    booked = {
        f"{name}_{frame.position}": value
        for frame in floor.frames
        for name, value in (("frame", frame.pk), ("dips", frame.dips))
    }
    return {"tap": str(uuid.uuid4()), "run": floor.run.pk, "reason": "By ear", "turns": 10, **booked, **fields}


def test_the_page_shows_the_book_and_takes_what_hangs(client_for, floor):
    dipper = client_for("dipper")
    page = dipper.get(page_of(floor))
    assert headline(page) == "What hangs on Carousel 2 now?"
    assert "Position 6" in text(page)
    response = dipper.post(page_of(floor), sent(floor, dips_1="13"), follow=True)
    assert "The book says now what hangs: F7 13 dips, not 10." in text(response)
    assert "By ear; F7 13 dips, not 10" in text(response)


@pytest.mark.parametrize(
    "fields",
    [
        {"reason": ""},
        {"dips_1": "-1"},
        {"dips_1": "1000000000"},
        {"mm_1": "0"},
        {"mm_1": "400"},
        {"mm_1": "thick"},
        {"frame_2": "\x00"},
        {"frame_2": "1000000"},
        {"turns": "-3"},
        {"reason": "x" * 201},
        {"run": "none"},
    ],
)
def test_a_refused_page_changes_nothing_and_keeps_what_was_typed(client_for, floor, fields):
    was = counters()
    response = client_for("dipper").post(page_of(floor), sent(floor, **{"dips_2": "17", **fields}))
    assert response.status_code == 422
    assert 'value="17"' in text(response)
    assert counters() == was
