"""The dip list: wants added up by candle."""

import csv
import io
from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from production.domain.wants import keep_want
from tests.factories import make_candle, make_lot

pytestmark = pytest.mark.django_db
LIST, CSV = "/dip-list/", "/dip-list.csv"


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
    assert [(row["Code"], row["Pairs wanted"], row["Free in stock"]) for row in sheet] == [
        ("IV250", "60", "30"),
        ("MO180", "12", "0"),
    ]
    assert sheet[0]["For whom"].count("; ") == 1


def test_a_long_list_asks_no_more_than_a_short_one(client_for):
    client, asked = client_for("dipper"), []
    for more in (1, 29):
        for _ in range(more):
            want(make_candle())
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
