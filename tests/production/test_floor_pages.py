"""The floor's pages on the tablet: what they say, and each tap up the same ladder."""

import re
import uuid
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from production.domain.frames import take_off
from production.domain.runs import end_run
from production.domain.turns import count_turn, mark_done, read_gauge
from production.domain.undo import last_step
from production.models import DipRun, Step
from tests.factories import make_candle
from tests.factories.floor import make_carousel, make_frame, make_vat, make_want
from tests.production.on_the_floor import NOON, counters, make_floor

pytestmark = pytest.mark.django_db


@pytest.fixture
def dipper(client_for):
    return client_for("dipper")


@pytest.fixture
def floor(dipper):
    return make_floor(2, by=dipper.person)


def text(response) -> str:
    return response.content.decode()


def headline(response) -> str:
    return re.sub(r"<.*?>", "", re.search(r"<h1>(.*?)</h1>", text(response), re.DOTALL).group(1)).strip()


def at(name, floor):
    return reverse(name, args=[floor.carousel.pk])


def of(name, floor):
    return reverse(name, args=[floor.frames[0].pk])


def tap(floor, **fields):
    return {"tap": str(uuid.uuid4()), "run": floor.run.pk, **fields}


def test_the_floor_says_how_many_turn(dipper, floor):
    make_carousel(name="Carousel 9")
    mark_done(frame=floor.frames[1], by=floor.by)
    response = dipper.get(reverse("floor"))
    assert headline(response) == "1 of 2 carousels turns; 2 frames hang, 1 of them is done."
    assert "Never leave a heated vat" in text(response)
    assert "Carousel 9 stands idle: nothing hangs on it and no run is on." in text(response)
    assert text(response).count('class="solid"') == 1


def test_a_done_frame_can_be_taken_off_whichever_is_chosen(dipper, floor):
    floor.candle.recipe.stages.filter(place=2).delete()
    mark_done(frame=floor.frames[1], by=floor.by)
    html = text(dipper.get(at("carousel", floor)))
    assert "F7, Ivory taper" in html
    assert "Take off F8, finished" in html


def test_an_empty_floor_has_a_page(dipper):
    assert headline(dipper.get(reverse("floor"))) == "There is no carousel yet: set one up first."


def test_the_carousel_says_what_dips_next_and_when(dipper, floor):
    for n in range(20):
        count_turn(run=floor.run, by=floor.by)
        if n in (9, 19):
            read_gauge(frame=floor.frames[0], mm=Decimal(2) + (n + 1) * Decimal("0.6"), by=floor.by)
    response = dipper.get(at("carousel", floor))
    said = headline(response)
    assert re.match(
        r"Carousel 2 over Ivory vat: F7 dips next; its candles reach gauge in \d+ to \d+ dips, about ", said
    ), said
    html = text(response)
    assert html.count('class="solid"') == 1
    for told in (
        "Turn done: 2 frames dipped",
        "Gauge reading F7",
        "Undo the reading of F7",
        "turn 20, one every 6 minutes counted by tap",
        "48 pairs",
        "gauge 21.5 to 22.5 mm",
        "F7 dips next.",
    ):
        assert told in html, told


@pytest.mark.parametrize(
    ("state", "said", "button"),
    [
        ("idle", "stands idle: 2 frames hang on it", "Begin a run"),
        ("resting", "rests after turn 0, with 2 frames on it", "Resume"),
        ("done", "every frame is done; take off F7 and F8", "Hang a frame"),
        ("empty", "nothing hangs yet", "Hang a frame"),
    ],
)
def test_each_state_has_its_sentence_and_its_next_tap(dipper, floor, state, said, button):
    if state == "idle":
        end_run(run=floor.run, by=floor.by)
    elif state == "resting":
        dipper.post(at("run_rest", floor), tap(floor))
    for frame in floor.frames:
        if state == "done":
            mark_done(frame=frame, by=floor.by)
        elif state == "empty":
            take_off(frame=frame, finished=False, by=floor.by)
    response = dipper.get(at("carousel", floor))
    assert said in headline(response)
    solid = re.findall(r'class="solid"[^>]*>(.*?)<', text(response))
    assert len(solid) == 1
    assert button in solid[0]


TAPS = [
    ("run_turn", at, {}),
    ("run_rest", at, {}),
    ("run_end", at, {}),
    ("frame_done", of, {"done": "yes"}),
    ("frame_stage", of, {}),
    ("frame_off", of, {"finished": "no"}),
]


@pytest.mark.parametrize(("name", "address", "fields"), TAPS)
def test_each_tap_works_once(dipper, floor, name, address, fields):
    sent = tap(floor, **fields)
    steps = Step.objects.count()
    assert dipper.post(address(name, floor), sent).status_code == 302
    assert Step.objects.count() == steps + 1
    step = Step.objects.first()
    assert (step.person, str(step.tap)) == (dipper.person, sent["tap"])
    after = counters()
    assert dipper.post(address(name, floor), sent).status_code == 302
    assert (counters(), Step.objects.count()) == (after, steps + 1)


@pytest.mark.parametrize(
    ("name", "address"),
    [(name, address) for name, address, _ in TAPS] + [("run_undo", at), ("run_resume", at)],
)
def test_taps_refuse_get_and_the_wrong_people(client_for, dipper, floor, name, address):
    assert dipper.get(address(name, floor)).status_code == 405
    was = counters()
    for role in ("packer", "bookkeeper"):
        assert client_for(role).post(address(name, floor), tap(floor)).status_code == 403
    assert counters() == was


@pytest.mark.parametrize(
    ("name", "address"),
    [
        ("floor", None), ("carousel", at), ("run_begin", at), ("run_move", at), ("run_pace", at), ("hang", at),
        ("set_right", at), ("reading", of), ("frame_scrap", of), ("thread", None), ("threaded", None),
    ],
)  # fmt: skip
def test_pages_are_for_dippers(client_for, floor, name, address):
    url = address(name, floor) if address else reverse(name)
    assert client_for("packer").get(url).status_code == 403
    assert client_for("bookkeeper").post(url).status_code == 403
    assert client_for("owner").get(url).status_code in (200, 302)


@pytest.mark.parametrize("each", TAPS, ids=lambda each: each[0])
@pytest.mark.parametrize("bad", ["", "\x00", "a" * 300, "12"])
def test_a_tap_that_cannot_be_read_changes_nothing(dipper, floor, each, bad):
    name, address, fields = each
    was = counters()
    response = dipper.post(address(name, floor), {**fields, "tap": bad, "run": bad}, follow=True)
    assert "nothing was counted" in text(response)
    assert counters() == was


def test_a_tap_after_the_run_was_closed_is_refused_and_said(dipper, floor):
    end_run(run=floor.run, by=floor.by, now=NOON)
    response = dipper.post(at("run_turn", floor), tap(floor), follow=True)
    assert "Run R2601 was ended on 25 November 2026 at 12:00: this was not counted." in text(response)


def test_a_run_of_another_carousel_is_not_turned_from_here(dipper, floor):
    other = make_carousel()
    response = dipper.post(reverse("run_turn", args=[other.pk]), tap(floor), follow=True)
    assert "No run is on here" in text(response)
    assert floor.now(floor.run).turns == 0


@pytest.mark.parametrize("pk", [0, 10**6, 10**30])
def test_unknown_carousels_and_frames_are_not_found(dipper, pk):
    for name in ("carousel", "run_turn", "run_begin", "hang", "set_right", "reading", "frame_off", "frame_scrap"):
        url = reverse(name, args=[pk])
        assert dipper.post(url, {}).status_code in (404, 405), name


def test_undo_from_the_page(dipper, floor):
    was = counters()
    dipper.post(at("run_turn", floor), tap(floor))
    step = last_step(floor.run)
    for _ in range(2):
        response = dipper.post(at("run_undo", floor), {"step": step.pk}, follow=True)
        assert "Undone: turn 1." in text(response)
        assert counters() == was
    assert "nothing was counted" in text(dipper.post(at("run_undo", floor), {"step": "x"}, follow=True))


def test_the_second_tablet_gets_what_changed_and_nothing_else(dipper, floor):
    url = at("carousel", floor)
    page = text(dipper.get(url))
    seen = re.search(r'hx-get="([^"]+)"', page).group(1).replace("&amp;", "&")
    assert dipper.get(seen, headers={"HX-Request": "true"}).status_code == 204
    count_turn(run=floor.run, by=floor.by)
    part = dipper.get(seen, headers={"HX-Request": "true"})
    assert part.status_code == 200
    assert "<html" not in text(part)
    assert 'id="headline" hx-swap-oob="true"' in text(part)
    assert "turn 1, one every" in text(part)


def test_more_frames_and_carousels_ask_no_more(dipper):
    asked = {}
    for carousels in (1, 5):
        while DipRun.objects.count() < carousels:
            vat = make_vat()
            floor = make_floor_at(vat, dipper.person, frames=1 if carousels == 1 else 6)
            assert floor
        for name, url in (("floor", reverse("floor")), ("carousel", DipRun.objects.first().get_absolute_url())):
            with CaptureQueriesContext(connection) as queries:
                assert dipper.get(url).status_code == 200
            asked.setdefault(name, []).append(len(queries))
    for name, (one, many) in asked.items():
        assert one == many, (name, asked)
        assert many <= 30


def make_floor_at(vat, by, frames: int):
    from production.domain.frames import hang_frame
    from production.domain.runs import begin_run

    carousel = make_carousel()
    run = begin_run(carousel=carousel, vat=vat, turn_minutes=Decimal(4), by=by)
    for position in range(1, frames + 1):
        candle = make_candle(wax=vat.wax, colour=vat.colour)
        frame = make_frame(candle, wants={make_want(candle): 12}, expected=40)
        hang_frame(frame=frame, carousel=carousel, position=position, by=by)
        for mm in ("2.2", "2.3"):
            read_gauge(frame=frame, mm=Decimal(mm), by=by)
    return run
