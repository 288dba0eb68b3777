"""The stockroom's pages: lists, a lot's history, counting in, adjusting, regrading, another shelf."""

import csv
import io
from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.domain.lots import adjust_lot, regrade_pairs
from inventory.models import Lot
from inventory.queries.stockroom import history_of
from inventory.words import counted, measure
from tests.factories import make_candle, make_colour, make_lot, make_person, make_shelf, make_wax

pytestmark = pytest.mark.django_db


@pytest.fixture
def stock():
    """Ivory on A1 and A2 with seconds, moss on A1 all set aside, plum with none."""
    a1, a2 = make_shelf(code="A1"), make_shelf(code="A2")
    ivory = make_candle(code="IV250", name="Ivory taper", shelf=a1)
    moss = make_candle(code="MS180", name="Moss dinner", wax=make_wax(name="Zeal"), colour=make_colour(name="Zinnia"))
    make_candle(code="PL100", name="Plum stub")
    make_lot(ivory, 1000, code="L-1", shelf=a1, set_aside=100, made_on=date(2026, 3, 12))
    make_lot(ivory, 24, code="L-2", shelf=a2)
    make_lot(ivory, 7, code="L-3", shelf=a2, grade="seconds", fault="bent")
    make_lot(moss, 30, code="L-4", shelf=a1, set_aside=30)
    make_lot(moss, 0, code="L-5", shelf=a1)


def codes(answer):
    return [row.record.code for row in answer.context["table"].page.object_list]


def test_first_line_answers_what_lies_there(client_for, stock):
    text = client_for("packer").get(reverse("stockroom")).content.decode()
    assert "<h1>1,054 pairs of firsts on 2 shelves, 924 of them free; 1 candle has none.</h1>" in text
    assert "7 pairs of seconds in 1 lot. The oldest firsts were dipped on 12 March 2026." in text


def test_empty_stockroom_says_so(client_for):
    text = client_for("packer").get(reverse("stockroom")).content.decode()
    assert "<h1>No pairs of firsts in the stockroom.</h1>" in text
    assert client_for("packer").get(reverse("lots")).status_code == 200


def test_row_of_a_candle_keeps_firsts_and_seconds_apart(client_for, stock):
    table = client_for("dipper").get(reverse("stockroom")).context["table"]
    row = next(row for row in table.page.object_list if row.record.code == "IV250")
    shown = [row.get_cell(name) for name in ("firsts", "aside", "free", "seconds", "oldest")]
    assert shown == ["1,024", "100", "924", "7", "12 Mar 2026"]


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ({}, ["IV250", "MS180", "PL100"]),
        ({"q": "taper iv"}, ["IV250"]),
        ({"short": "free"}, ["MS180", "PL100"]),
        ({"short": "all"}, ["PL100"]),
        ({"sort": "-firsts"}, ["IV250", "MS180", "PL100"]),
        ({"sort": "free"}, ["MS180", "PL100", "IV250"]),
        ({"sort": "nonsense", "page": "x"}, ["IV250", "MS180", "PL100"]),
        ({"wax": "abc", "colour": "9" * 30, "shelf": "-1", "q": "\x00", "short": "?"}, ["IV250", "MS180", "PL100"]),
    ],
)
def test_stockroom_is_filtered_and_sorted(client_for, stock, query, expected):
    answer = client_for("packer").get(reverse("stockroom"), query)
    assert answer.status_code == 200
    assert sorted(codes(answer)) == sorted(expected) if "free" in query.values() else codes(answer) == expected


def test_stockroom_is_filtered_by_wax_colour_and_shelf(client_for, stock):
    moss = Lot.objects.get(code="L-4").candle
    shelf = Lot.objects.get(code="L-2").shelf
    client = client_for("packer")
    assert codes(client.get(reverse("stockroom"), {"wax": moss.wax_id})) == ["MS180"]
    assert codes(client.get(reverse("stockroom"), {"colour": moss.colour_id})) == ["MS180"]
    assert codes(client.get(reverse("stockroom"), {"shelf": shelf.pk})) == ["IV250"]


@pytest.mark.parametrize(
    ("query", "expected"),
    [
        ({}, ["L-1", "L-2", "L-3", "L-4"]),
        ({"q": "l-2"}, ["L-2"]),
        ({"q": "moss"}, ["L-4"]),
        ({"grade": "seconds"}, ["L-3"]),
        ({"fault": "BEN"}, ["L-3"]),
        ({"stock": "free"}, ["L-1", "L-2", "L-3"]),
        ({"stock": "empty"}, ["L-5"]),
        ({"stock": "all"}, ["L-1", "L-2", "L-3", "L-4", "L-5"]),
        ({"stock": "?", "grade": "?", "shelf": "x"}, ["L-1", "L-2", "L-3", "L-4"]),
    ],
)
def test_lots_are_filtered_oldest_first(client_for, stock, query, expected):
    assert codes(client_for("packer").get(reverse("lots"), query)) == expected


@pytest.mark.parametrize(
    ("name", "head", "first"),
    [
        ("stockroom_csv", "Code,Candle,Firsts on hand,Set aside,Free,Seconds,Oldest firsts,Own shelf", "IV250"),
        ("lots_csv", "Lot,Candle,Grade,Fault,Shelf,Dipped on,On hand,Set aside,Free", "L-1"),
    ],
)
def test_lists_are_saved_as_csv_whole(client_for, stock, name, head, first):
    for n in range(60):
        make_lot(make_candle(code=f"ZZ{n}"), by=make_person())
    answer = client_for("packer").get(reverse(name))
    assert "attachment" in answer["Content-Disposition"]
    rows = list(csv.reader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert ",".join(rows[0]) == head
    assert rows[1][0] == first
    assert len(rows) > 60


def test_csv_holds_bare_figures_and_no_formula(client_for):
    make_lot(make_candle(code="AA1", name="=SUM(A1)"), 1234, by=make_person())
    (row,) = list(csv.reader(io.StringIO(client_for("owner").get(reverse("stockroom_csv")).content.decode())))[1:]
    assert row[1:6] == ["'=SUM(A1)", "1234", "0", "1234", "0"]
    assert row[6] == "2026-11-02"


def test_csv_follows_the_filter(client_for, stock):
    text = client_for("owner").get(reverse("stockroom_csv"), {"q": "moss"}).content.decode()
    assert "MS180" in text
    assert "IV250" not in text


@pytest.mark.parametrize("rows", [1, 30])
@pytest.mark.parametrize(("page", "queries"), [("stockroom", 9), ("lots", 7), ("stockroom_csv", 5), ("lots_csv", 4)])
def test_lists_ask_as_much_for_one_row_as_for_thirty(client_for, django_assert_num_queries, rows, page, queries):
    for _ in range(rows):
        make_lot(make_candle(shelf=make_shelf()), shelf=make_shelf(), by=make_person())
    client = client_for("packer")
    with django_assert_num_queries(queries):
        client.get(reverse(page))


@pytest.mark.parametrize("rows", [1, 30])
def test_lot_page_asks_as_much_for_one_movement_as_for_thirty(client_for, django_assert_num_queries, rows):
    lot = make_lot(pairs=100)
    for _ in range(rows - 1):
        adjust_lot(lot=lot, kind="damaged", pairs=1, reason="fell", by=make_person())
    client = client_for("packer")
    with django_assert_num_queries(7):
        client.get(lot.get_absolute_url())


def test_history_adds_up_to_what_is_on_hand(client_for):
    lot, by = make_lot(pairs=24, code="L-1"), make_person(full_name="Ada Wick")
    adjust_lot(lot=lot, kind="damaged", pairs=4, reason="fell off the shelf", by=by)
    seconds = regrade_pairs(lot=lot, pairs=5, fault="bent", reason="seen", by=by)
    adjust_lot(lot=lot, kind="recounted", pairs=16, reason="one found", by=by)
    assert [(move.pairs, move.stood) for move in history_of(lot)] == [(24, 24), (-4, 20), (-5, 15), (1, 16)]
    lot.refresh_from_db()
    assert lot.on_hand == 16
    text = client_for("packer").get(lot.get_absolute_url()).content.decode()
    assert "L-1 holds 16 pairs of" in text
    assert "4 movements, adding up to 16 pairs on hand." in text
    for word in ("fell off the shelf", "Ada Wick", seconds.code):
        assert word in text
    assert "/orders/" not in text.split('<main id="main"')[1]


@pytest.mark.parametrize("page", ["stockroom", "lots", "stockroom_csv", "lots_csv", "count_in"])
def test_stockroom_is_for_owner_packer_and_dipper(client_for, page):
    assert client_for("bookkeeper").get(reverse(page)).status_code == 403
    for role in ("owner", "packer", "dipper"):
        assert client_for(role).get(reverse(page)).status_code == 200


def test_words_for_figures():
    assert [counted(number, "shelf", "shelves") for number in (0, 1, 1930)] == [
        "0 shelves",
        "1 shelf",
        "1,930 shelves",
    ]
    assert [measure(Decimal(figure)) for figure in ("22.0", "22.5", "100", "100.0")] == ["22", "22.5", "100", "100"]
