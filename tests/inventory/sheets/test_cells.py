"""What a cell may say, and what is said to it where it may not; headings found again."""

import re
from datetime import date
from decimal import Decimal

import pytest

from inventory.sheets.columns import Column, heading_faults, match_headings, read_rows
from inventory.sheets.parts import Clock, Row, Sheet
from inventory.sheets.values import day_of, figure, number_of, one_of, text_of, whole_of, yes_or_no

pytestmark = pytest.mark.sqlite

NAME, TOWN, PHONE = (
    Column("name", "Name", text_of(20), ("Shop",), True),
    Column("town", "Town", text_of(20)),
    Column("telephone", "Telephone", text_of(20)),
)


@pytest.mark.parametrize(
    ("typed", "read"),
    [
        ("2.20", "2.20"), ("£2.20", "2.20"), ("2,20", "2.20"), ("1,200", "1200"), ("1,200.50", "1200.50"),
        ("1.200,50", "1200.50"), ("1 200", "1200"), ("12.5%", "12.5"), ("250 mm", "250"), ("-3", "-3"), (".5", "0.5"),
    ],
)  # fmt: skip
def test_a_number_reads_as_people_write_it(typed, read):
    assert figure(typed) == Decimal(read)


@pytest.mark.parametrize(
    ("read", "typed", "said"),
    [
        (number_of(places=2, least=0, most=90), "95", "at most 90"),
        (number_of(places=2, least=0, most=90), "-1", "at least 0"),
        (number_of(places=2), "2.205", "the nearest is 2.21"),
        (whole_of(least=1, most=9), "2.5", "whole numbers only; the nearest is 3"),
        (whole_of(least=1, most=9), "about 7", "Is it 7?"),
        (number_of(), "١٢", "is no number"),
        (number_of(), "1e5", "is no number"),
        (yes_or_no, "maybe", "yes or no"),
        (day_of(), "12/13/2026", "The day comes first: 13/12/2026?"),
        (day_of(), "soon", "is no day"),
        (day_of(least=date(2026, 5, 1)), "30/4/2026", "the nearest is 1 May 2026"),
        (day_of(most=date(2026, 5, 1)), "2026-05-02", "the nearest is 1 May 2026"),
        (text_of(4), "Beeswax", "at most 4, for instance “Bees”"),
        (one_of({"Beeswax": 1, "Stearin": 2}, "wax"), "beeswx", "Nearest: Beeswax, Stearin."),
        (one_of({}, "wax"), "beeswax", "None is in the book yet."),
        (one_of({"A b": 1, "a-b": 2}, "shop"), "AB", "more than one shop"),
    ],
)
def test_what_may_not_stand_there_is_refused_with_the_nearest_that_may(read, typed, said):
    with pytest.raises(ValueError, match=re.escape(said)):
        read(typed)


@pytest.mark.parametrize("typed", ["9/12/2026", "09.12.26", "9 Dec 2026", "9th December 2026", "2026-12-09 10:00"])
def test_a_day_reads_as_people_write_it(typed):
    assert day_of()(typed) == date(2026, 12, 9)


def test_headings_are_found_in_any_order_by_name_memory_and_likeness():
    found = match_headings(
        ["Telefone", "TOWN ", "", "Kunde", "Colour of door"], [NAME, TOWN, PHONE], {"kunde": "name"}
    )
    assert [(one.at, one.column, one.sure) for one in found] == [
        (0, "telephone", False), (1, "town", True), (3, "name", True), (4, "", False),
    ]  # fmt: skip


def test_a_heading_left_out_once_stays_left_out():
    (found,) = match_headings(["Name"], [NAME], {"name": ""})
    assert (found.column, found.sure) == ("", True)


def test_every_fault_of_headings_and_cells_is_told_by_its_place():
    rows = (Row(3, ("x" * 30, "Carrick", "", "stray")), Row(4, ("Ossel", "Carrick")), Row(5, ("OSSEL ", "", "")))
    sheet = Sheet("", 2, ("Name", "Town", "Shop"), rows)
    matches = match_headings(sheet.headings, [NAME, TOWN, PHONE], {})
    assert [fault.place for fault in heading_faults(sheet, matches, [NAME, TOWN, PHONE])] == ["C2", "D3"]
    good, bad = read_rows(sheet, matches[:2], [NAME, TOWN], ["name"], Clock())
    assert [(row.number, dict(row.values)) for row in good] == [(4, {"name": "Ossel", "town": "Carrick"})]
    assert [(fault.place, fault.why) for fault in bad] == [
        ("A3", "has 30 signs; at most 20, for instance “" + "x" * 20 + "”."), ("A5", "stands in row 4 already."),
    ]  # fmt: skip
