"""The dip list: wants added up by candle."""

import csv
import io
import re
from datetime import date
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.domain.wants import keep_want
from production.models import FloorFigures, Frame, Want
from tests.factories import make_candle, make_frame, make_frame_kind, make_lot

pytestmark = pytest.mark.django_db
LIST, CSV, SPARE = "/dip-list/", "/dip-list.csv", "/dip-list/spare/"


def want(candle, pairs=24, day=date(2026, 12, 4), whom="Ossel Gifts, Carrick", **more):
    values = {"rank": 5, "group": "order 1", "all_or_nothing": False, **more}
    return keep_want(want=None, candle=candle, pairs=pairs, wanted_by=day, for_whom=whom, **values)


def text(response) -> str:
    return response.content.decode()


@pytest.fixture
def two_candles():
    ivory, moss = make_candle(code="IV250", name="Ivory taper"), make_candle(code="MO180", name="Moss dinner")
    make_lot(ivory, 30), make_lot(ivory, 5, grade="seconds", fault="bent")
    want(ivory, 24), want(ivory, 36, day=date(2026, 11, 30), whom="The Lamp Room, Wexcombe", all_or_nothing=True)
    want(moss, 12, day=date(2026, 12, 9))
    return ivory, moss


def rows(response) -> list:
    return [row.record.code for row in response.context["table"].rows]


def test_wants_are_added_up_by_candle(client_for, two_candles):
    response = client_for("dipper").get(LIST)
    html = text(response)
    assert "72 pairs of 2 candles are wanted, the first by 30 November 2026; 42 still to hang." in html
    assert rows(response) == ["IV250", "MO180"]
    assert "36 for The Lamp Room, Wexcombe by 30 Nov, all or nothing" in html
    first = response.context["table"].rows[0]
    assert (first.get_cell("wanted"), first.get_cell("free")) == ("60", "30")


def test_nothing_is_wanted(client_for):
    html = text(client_for("dipper").get(LIST))
    assert "Nothing is wanted of the floor" in html
    assert "Nobody waits for a pair that fits." in html


def test_the_list_is_narrowed(client_for, two_candles):
    client = client_for("dipper")
    assert rows(client.get(LIST, {"candle": "moss"})) == ["MO180"]
    assert rows(client.get(LIST, {"until": "2026-12-01"})) == ["IV250"]
    assert rows(client.get(LIST, {"sort": "wanted"})) == ["MO180", "IV250"]


@pytest.mark.parametrize("asked", [{"candle": "\x00"}, {"candle": "x" * 99}, {"until": "soon"}, {"page": "x"}])
def test_nonsense_does_no_harm(client_for, two_candles, asked):
    client = client_for("dipper")
    assert client.get(LIST, asked).status_code == 200
    assert client.get(CSV, asked).status_code == 200


@pytest.fixture
def ivory_on_the_floor(two_candles):
    """Of the 60 ivory pairs wanted 20 hang, 8 more are counted on for the shelf, 30 lie in stock: 2 are left."""
    ivory, _ = two_candles
    make_frame(ivory, wants={Want.objects.filter(candle=ivory).first(): 20}, expected=28)
    return ivory


def test_what_hangs_is_told_from_what_is_still_to_hang(client_for, ivory_on_the_floor):
    response = client_for("dipper").get(LIST)
    first = response.context["table"].rows[0]
    assert [first.get_cell(name) for name in ("wanted", "free", "need")] == ["60", "30", "2"]
    assert first.get_cell("hung") == "20<br><small>8 for the shelf</small>"
    assert first.get_cell("frames").startswith("1 frame: it gives 2 firsts more than 99 times in 100.<br>")
    assert "14 still to hang on 2 frames." in text(response)


def test_the_reason_names_what_a_frame_less_would_do(client_for):
    make_frame_kind(name="Small frame", bars=1, usable_mm=800)  # 12 pairs of 22 mm
    candle = make_candle()
    want(candle, 40)
    cell = client_for("dipper").get(LIST).context["table"].rows[0].get_cell("frames")
    assert re.fullmatch(r"(\d+) frames: \d+ would .*<br><small>Small frame, 12 pairs each</small>.*", cell), cell
    frames = int(cell.split()[0])
    assert frames >= 4
    FloorFigures.objects.create(pk=1, confidence=Decimal("0.50"))
    less = client_for("dipper").get(LIST).context["table"].rows[0].get_cell("frames")
    assert int(less.split()[0]) <= frames


def test_a_frame_is_taken_as_large_as_was_used_last(client_for):
    candle = make_candle()
    small, _ = make_frame_kind(name="Small frame", bars=1, usable_mm=800), make_frame_kind(name="Wide frame")
    want(candle, 10)
    cell = lambda: client_for("dipper").get(LIST).context["table"].rows[0].get_cell("frames")  # noqa: E731
    assert "Wide frame, 48 pairs each" in cell()
    make_frame(candle, state="graded", kind=small)
    assert "Small frame, 12 pairs each" in cell()


def test_without_a_kind_of_frame_nobody_can_tell(client_for):
    want(make_candle(), 10)
    row = client_for("dipper").get(LIST).context["table"].rows[0]
    assert row.get_cell("frames") == "No kind of frame in use takes this candle: set one up."


def test_what_hangs_for_the_shelf_is_hung_for_the_list(client_for, ivory_on_the_floor):
    client = client_for("dipper")
    assert "Hang 8 pairs of the shelf" in text(client.get(LIST))
    assert client.get(SPARE).status_code == 405
    assert client_for("packer").post(SPARE).status_code == 403
    assert "8 pairs that hung for the shelf hang for the dip list now." in text(client.post(SPARE, follow=True))
    assert Frame.objects.get().hung_for == 28
    assert "Nothing that hangs for the shelf is wanted." in text(client.post(SPARE, follow=True))


def test_more_than_a_few_wants_are_counted(client_for):
    candle = make_candle()
    for n in range(5):
        want(candle, whom=f"Shop {n}, Carrick")
    html = text(client_for("dipper").get(LIST))
    assert "Shop 2, Carrick" in html
    assert "Shop 3, Carrick" not in html
    assert "and 2 more" in html


def test_the_sheet_names_every_want(client_for, two_candles):
    response = client_for("dipper").get(CSV)
    sheet = list(csv.DictReader(io.StringIO(response.content.decode("utf-8-sig"))))
    assert [(row["Code"], row["Wanted"], row["Free"]) for row in sheet] == [
        ("IV250", "60", "30"),
        ("MO180", "12", "0"),
    ]
    assert sheet[0]["For whom"].count("; ") == 1
    assert [(row["On the floor"], row["To hang"]) for row in sheet] == [("0", "30"), ("0", "12")]
    assert sheet[0]["Frames that means"].startswith("No kind of frame")


def test_a_long_list_asks_no_more_than_a_short_one(client_for):
    client, asked = client_for("dipper"), []
    for more in (1, 29):
        for _ in range(more):
            candle = make_candle()
            make_frame(candle, expected=9), want(candle)
        with CaptureQueriesContext(connection) as queries:
            client.get(LIST)
        asked.append(len(queries))
    assert asked[0] == asked[1], asked


def test_the_dip_list_is_the_dippers_place(client_for):
    for url in (LIST, CSV):
        assert client_for("dipper").get(url).status_code == 200
        assert client_for("owner").get(url).status_code == 200
        assert client_for("packer", "bookkeeper").get(url).status_code == 403
        assert client_for("dipper").post(url).status_code == 405
