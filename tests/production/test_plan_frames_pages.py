"""One planned frame's page, and the page of the pins."""

from datetime import timedelta

import pytest
from django.utils import timezone

from inventory.models import Record
from production.models import PlannedFrame, PlanPin
from tests.factories.floor import make_frame, make_run
from tests.production.plan_floor import MONDAY, make_plan_floor
from tests.production.standing_plan import let_a_plan_stand, stop_the_clock

pytestmark = pytest.mark.django_db
PLAN = "/dip-list/plan/"
PINS, PIN_VAT, PIN_FRAME = f"{PLAN}pins/", f"{PLAN}pins/vat/", f"{PLAN}pins/frame/"


def text(response) -> str:
    return response.content.decode()


@pytest.fixture(autouse=True)
def clock(monkeypatch):
    stop_the_clock(monkeypatch)


@pytest.fixture
def floor():
    return make_plan_floor()


@pytest.fixture
def owner(client_for, floor):
    return client_for(person=floor.by)


@pytest.fixture
def planned(floor):
    let_a_plan_stand(floor.by)
    return PlannedFrame.objects.filter(candle=floor.taper).first()


def page_of(row: PlannedFrame) -> str:
    return f"{PLAN}frame/{row.pk}/"


def test_a_frame_names_whom_it_serves_and_why_it_hangs_there(client_for, floor, planned):
    response = client_for("dipper").get(page_of(planned))
    html = text(response)
    assert response.context["headline"].startswith(
        f"Planned frame {planned.number + 1}, 48 pairs of Ivory taper: over "
    )
    assert f"Why there: {planned.why}" in html
    assert planned.why
    assert "Rushcandle Deli" in html
    assert "in time" in html
    assert "Thread and hang it now" in html
    assert f"/floor/thread/?candle={floor.taper.pk}&amp;kind={floor.kind.pk}&amp;planned={planned.pk}" in html
    assert "Pin it here" not in html


def test_a_threaded_frame_is_hung_from_its_page(owner, floor, planned):
    frame = make_frame(floor.taper, kind=floor.kind)
    PlannedFrame.objects.filter(pk=planned.pk).update(frame=frame)
    html = text(owner.get(page_of(planned)))
    assert f"Hang {frame} now" in html
    assert f"/hang/?frame={frame.pk}&amp;position={planned.position}" in html
    assert "Pin it here" not in html


def test_a_frame_of_a_plan_that_was_replaced_says_so(owner, floor, planned):
    let_a_plan_stand(floor.by)
    html = text(owner.get(page_of(planned)))
    assert "This plan stands no longer" in html
    assert "Thread and hang it now" not in html
    assert owner.get(f"{PLAN}frame/999999/").status_code == 404


def test_a_frame_is_pinned_where_it_hangs_once(owner, floor, planned):
    data = {
        "candle": floor.taper.pk,
        "vat": planned.vat_id,
        "day": "2026-11-30",
        "half": "1",
        "position": planned.position,
    }
    for _ in range(2):
        assert owner.post(PIN_FRAME, data).url == PINS
    pin = PlanPin.objects.get()
    assert (pin.candle, pin.vat, pin.half, pin.position) == (floor.taper, planned.vat, 1, planned.position)
    assert Record.objects.filter(subject="dip plan", what__startswith="Pinned: Ivory taper over").count() == 1
    html = text(owner.get(page_of(planned)))
    assert "Let the pin go" in html
    assert "pinned" in text(owner.get(PLAN))
    assert "The pins have changed." in text(owner.get(PLAN))
    assert owner.get(PINS).context["headline"].startswith("1 pin holds: Ivory taper over North vat at position")


def test_a_vat_is_held_in_a_colour_and_let_go(owner, client_for, floor):
    data = {"vat": floor.north.pk, "day": "2026-12-01", "half": "2", "wax": floor.wax.pk, "colour": floor.red.pk}
    for _ in range(2):
        assert owner.post(PIN_VAT, data).url == PINS
    pin = PlanPin.objects.get()
    assert "North vat in winter red (Paraffin) on Tuesday 1 Dec, afternoon" in text(owner.get(PINS))
    assert "Let it go" not in text(client_for("dipper").get(PINS))
    for _ in range(2):
        assert owner.post(f"{PINS}{pin.pk}/let-go/").url == PINS
    assert not PlanPin.objects.exists()
    assert owner.get(PINS).context["headline"] == "Nothing is pinned: the plan chooses freely."


def test_only_the_owner_pins(client_for, floor):
    for url in (PIN_VAT, PIN_FRAME, f"{PINS}1/let-go/"):
        assert client_for("dipper").post(url).status_code == 403
        assert client_for("owner").get(url).status_code == 405


BAD = {
    "day": ["", "soon", "2026-11-29", "2026-12-05", "9999-12-31", "2\x00"],
    "half": ["", "0", "3", "noon"],
    "vat": ["", "0", "999999", "x", "\x00"],
}


@pytest.mark.parametrize(("field", "value"), [(field, value) for field, values in BAD.items() for value in values])
def test_a_pin_that_cannot_be_is_refused_beside_what_was_typed(owner, floor, field, value):
    of_vat = {"vat": floor.north.pk, "day": "2026-12-01", "half": "2", "wax": floor.wax.pk, "colour": floor.red.pk}
    of_frame = {"candle": floor.taper.pk, "vat": floor.north.pk, "day": "2026-12-01", "half": "2", "position": ""}
    for url, data, form in ((PIN_VAT, of_vat, "of_vat"), (PIN_FRAME, of_frame, "of_frame")):
        refused = owner.post(url, {**data, field: value})
        assert refused.status_code == 422
        assert list(refused.context[form].errors) == [field]
        assert refused.context[form][field].value() == value
    assert not PlanPin.objects.exists()


@pytest.mark.parametrize("position", ["0", "-1", "13", "1000000000", "first"])
def test_a_position_no_carousel_has_is_refused(owner, floor, position):
    data = {"candle": floor.taper.pk, "vat": floor.north.pk, "day": "2026-12-01", "half": "2", "position": position}
    refused = owner.post(PIN_FRAME, data)
    assert refused.status_code == 422
    assert list(refused.context["of_frame"].errors) == ["position"]


def test_the_form_comes_filled_from_a_frame(owner, floor, planned):
    form = owner.get(owner.get(page_of(planned)).context["pin_url"]).context["of_frame"]
    assert (form["candle"].value(), form["half"].value()) == (str(floor.taper.pk), "1")


def test_the_dip_list_says_when_the_plan_hangs_a_candle(client_for, floor, planned):
    html = text(client_for("dipper").get("/dip-list/"))
    assert "2 frames, the first Mon 30 Nov, 08:00" in html
    assert page_of(planned) in html
    assert f'href="{PLAN}"' in html
    assert "the first Mon 30 Nov" in text(client_for("dipper").get("/dip-list.csv"))


def test_the_floor_says_what_hangs_next_at_each_carousel(client_for, floor, planned, monkeypatch):
    client = client_for("dipper")
    make_run(planned.carousel, planned.vat)
    for page in ("/floor/", planned.carousel.get_absolute_url()):
        html = text(client.get(page))
        assert "Next to hang here: <b>Ivory taper</b>" in html
        assert f"at 08:00, 48 pairs at position {planned.position}, over {planned.vat}" in html
    monkeypatch.setattr(timezone, "now", lambda: MONDAY + timedelta(hours=2))
    assert "<small>now, 48 pairs" in text(client.get("/floor/"))
    stamp = client.get("/floor/").context["stamp"]
    assert client.get("/floor/", {"seen": stamp}, headers={"HX-Request": "true"}).status_code == 204
    PlannedFrame.objects.filter(pk=planned.pk).update(frame=make_frame(floor.taper, kind=floor.kind, code="F1"))
    again = client.get("/floor/", {"seen": stamp}, headers={"HX-Request": "true"})
    assert "Next to hang here: <b>F1, Ivory taper</b>" in text(again)


def test_threading_from_the_plan_takes_that_frames_place(client_for, floor, planned):
    """Of two frames of one candle the later one: its wants come filled in, and it is hung where the plan has it."""
    client, later = client_for("dipper"), PlannedFrame.objects.filter(candle=floor.taper).last()
    assert later != planned
    url = client.get(page_of(later)).context["thread_url"]
    want, pairs = later.meant_for.values_list("want", "pairs").get()
    form = client.get(url).context["form"]
    assert form[f"want_{want}"].value() >= pairs
    response = client.post(url, {"hung": "48", f"want_{want}": str(pairs)})
    later.refresh_from_db()
    assert (
        response.url == f"/floor/carousels/{later.carousel_id}/hang/?frame={later.frame_id}&position={later.position}"
    )
    assert list(later.frame.promises.values_list("want", "pairs")) == [(want, pairs)]
    planned.refresh_from_db()
    assert planned.frame is None


@pytest.mark.parametrize("key", ["x", "-1", "0", "999999", "9" * 30, "\x00", "²"])
def test_a_planned_frame_that_is_none_is_passed_over(client_for, floor, planned, key):
    asked = {"candle": floor.taper.pk, "kind": floor.kind.pk, "planned": key}
    assert client_for("dipper").get("/floor/thread/", asked).status_code == 200
