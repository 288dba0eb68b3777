"""A form as a shop hands it back: sorted, added to, in its own words, as CSV. Plain files, no database."""

import csv
import io
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.sheets import Grid, Row, read_grids
from orders.order_form.parts import COLUMNS, Form, FormRow
from orders.order_form.reading import NotAForm, read_form
from orders.order_form.writing import write_form
from orders.reading import Catalogue, Doubt, Known, Read, Reader
from tests.factories.order_forms import COLUMN, Filled

CANDLES = [
    ("IV250", "Ivory taper 250 x 22", "2.20", 48),
    ("RD250", "Winter red taper 250 x 22", "2.20", 0),
    ("MS180", "Moss dinner 180 x 20", "1.90", 96),
    ("BW300", "Beeswax taper 300 x 22", "4.55", 12),
]
READER = Reader(Catalogue(Known(code, name, 24) for code, name, _, _ in CANDLES), 100_000)
TODAY = date(2026, 8, 3)
SENT = write_form(
    Form(
        number="OF-101",
        shop="The Lamp Room, Wexcombe",
        house=("Tallow Lane Candles", "2 Tallow Lane"),
        made_on=TODAY,
        symbol="£",
        rows=tuple(
            FormRow(code, name, "250 × 22", 24, Decimal(price), last=last) for code, name, price, last in CANDLES
        ),
        days=(date(2026, 8, 11), date(2026, 12, 9)),
        addresses=("Shop, 4 Tanner Row",),
        terms=("Write whole pairs.",),
    )
)
MADE = read_grids(SENT)


@pytest.fixture
def sheet() -> Filled:
    return Filled(SENT)


def read(data: bytes, made=MADE):
    return read_form(read_grids(data), READER, made, most=400)


def pairs_of(came) -> dict[str, int]:
    return {line.part.code: line.part.pairs for line in came.ordered if isinstance(line.part, Read)}


def doubts_of(came) -> list[tuple[int, str]]:
    return [(line.row, line.part.why) for line in came.ordered if isinstance(line.part, Doubt)]


def as_csv(filled: Filled, delimiter: str = ",") -> bytes:
    made = io.StringIO()
    csv.writer(made, delimiter=delimiter).writerows([cell or "" for cell in row] for row in filled.rows)
    return made.getvalue().encode("cp1252")


def test_an_empty_form_says_nothing(sheet):
    came = read(sheet.data)
    assert (came.lines, came.remarks, came.told) == ((), (), ())
    assert (came.head.form, came.head.address) == (101, "Shop, 4 Tanner Row")


@pytest.mark.parametrize(
    ("written", "pairs"),
    [(24, 24), (24.0, 24), ("24 pairs", 24), ("2 boxes", 48), ("2b", 48), ("two boxes", 48), ("2 doz", 24),
     ("a dozen", 12), ("Twenty-four please", 24), ("=24+12", 36), ("1,200", 1200)],
)  # fmt: skip
def test_pairs_are_read_as_they_are_said(sheet, written, pairs):
    sheet.put("IV250", written)
    came = read(sheet.data)
    assert (pairs_of(came), doubts_of(came)) == ({"IV250": pairs}, [])


@pytest.mark.parametrize("written", ["none", "-", 0, "no thanks"])
def test_none_is_none(sheet, written):
    sheet.put("IV250", written)
    assert read(sheet.data).lines == ()


@pytest.mark.parametrize(
    "written", ["a few", "24?", 24.5, -24, "=I16", date(2026, 3, 4), True, "x", "24 or 36", 100_001, "#REF!"]
)
def test_what_is_no_number_of_pairs_is_a_doubt_in_its_place(sheet, written):
    sheet.put("IV250", written)
    came = read(sheet.data)
    assert pairs_of(came) == {}
    [(row, why)] = doubts_of(came)
    assert row == sheet.row_of("IV250")
    assert "pairs" in why


def test_sorted_rows_moved_columns_and_a_renamed_sheet_do_no_harm(sheet):
    for code, wanted in (("IV250", 24), ("MS180", "3 boxes"), ("BW300", 6)):
        sheet.put(code, wanted)
    sheet.put("BW300", "wrap them, please", "note")
    first, last = sheet.top + 1, sheet.top + len(CANDLES)
    rows = sorted(([cell.value for cell in row] for row in sheet.sheet.iter_rows(first, last)), key=lambda row: row[2])
    for number, row in enumerate(rows, start=first):
        for column, value in enumerate(row, start=1):
            sheet.sheet.cell(number, column).value = value
    sheet.sheet.title = "xmas order FINAL"
    sheet.sheet.move_range(f"I1:I{sheet.sheet.max_row}", cols=8)  # pairs wanted to the far right
    sheet.sheet.insert_cols(2)
    came = read(sheet.data)
    assert pairs_of(came) == {"IV250": 24, "MS180": 72, "BW300": 6}
    assert [line.part.code for line in came.ordered] == ["BW300", "IV250", "MS180"]
    assert came.remarks == (f"Row {first}, BW300: wrap them, please",)
    assert (came.told, came.head.form) == ((), 101)


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_saved_as_csv_it_says_the_same(sheet, delimiter):
    sheet.put("IV250", 24)
    sheet.put("RD250", "2 doz")
    sheet.head("reference", "PO 17")
    sheet.head("notes", "ring first; ask for Ann")
    came = read(as_csv(sheet, delimiter))
    assert pairs_of(came) == {"IV250": 24, "RD250": 24}
    assert (came.head.reference, came.head.notes, came.head.form) == ("PO 17", "ring first; ask for Ann", 101)
    assert (came.remarks, came.told) == ((), ())


def test_rows_added_below_are_read_or_doubted(sheet):
    rows = [
        sheet.add(code="RD250", pairs=12),
        sheet.add(candle="moss dinner", pairs="1 box"),
        sheet.add(code="12 beeswax tapers"),
        sheet.add(candle="Plum taper", pairs=6),
        sheet.add(code="IV250"),
        sheet.add(pairs=36),
    ]
    came = read(sheet.data)
    assert pairs_of(came) == {"RD250": 12, "MS180": 24, "BW300": 12}
    assert doubts_of(came) == [
        (rows[3], "No candle of that name."), (rows[4], "How many pairs?"), (rows[5], "Which candle?")
    ]  # fmt: skip
    assert "IV250" in came.ordered[4].part.candle


def test_words_anywhere_come_back_as_remarks(sheet):
    sheet.put("IV250", 24)
    sheet.put("RD250", "not this year", "note")
    below = sheet.add(code="Many thanks from all of us in the shop")
    sheet.sheet.cell(1, 6).value = "URGENT"
    sheet.book.create_sheet("Sheet3")["A1"] = "ring me about colours"
    came = read(sheet.data)
    assert came.remarks == (
        "Row 1: URGENT",
        f"Row {sheet.row_of('RD250')}, RD250 Winter red taper 250 x 22: not this year",
        f"Row {below}: Many thanks from all of us in the shop",
        "Sheet “Sheet3”: ring me about colours",
    )
    assert pairs_of(came) == {"IV250": 24}


def test_a_remark_that_begins_as_a_label_takes_no_row_away(sheet):
    sheet.put("IV250", 24)
    sheet.put("IV250", "Notes: with a ribbon", "note")
    came = read(sheet.data)
    assert (pairs_of(came), came.head.notes) == ({"IV250": 24}, "")
    assert came.remarks == (f"Row {sheet.row_of('IV250')}, IV250: Notes: with a ribbon",)


@pytest.mark.parametrize(("column", "value"), [("note", "24"), ("note", "24 of these"), ("last", 60)])
def test_a_number_in_the_wrong_column_is_asked_about(sheet, column, value):
    sheet.put("IV250", value, column)
    [(row, why)] = doubts_of(read(sheet.data))
    assert row == sheet.row_of("IV250")
    assert why.startswith("No pairs, but")
    assert str(value) in why


def test_a_price_written_over_is_told_and_not_taken(sheet):
    sheet.put("IV250", 24)
    sheet.put("IV250", 1.5, "price")
    came = read(sheet.data)
    assert came.told == (f"Row {sheet.row_of('IV250')}, IV250: they made the price 1.5; the form said 2.2.",)


def test_a_column_of_theirs_is_told_once_and_orders_nothing(sheet):
    sheet.put("IV250", 24)
    sheet.sheet.cell(sheet.top, 13).value = "Our item no."
    for number in range(sheet.top + 1, sheet.top + 5):
        sheet.sheet.cell(number, 13).value = 7000 + number
    came = read(sheet.data)
    assert (pairs_of(came), doubts_of(came)) == ({"IV250": 24}, [])
    [told] = came.told
    assert told.startswith("Column M, “Our item no.”, is theirs: not read. ")


def test_a_total_that_does_not_agree_and_a_candle_twice_are_told(sheet):
    sheet.put("IV250", 24)
    again = sheet.add(code="IV250", pairs=12)
    total = sheet.add(code="Total", pairs=60)
    came = read(sheet.data)
    assert sum(line.part.pairs for line in came.ordered) == 36
    assert came.told == (
        f"Row {total}: their total says 60; the rows understood come to 36 pairs.",
        f"IV250 stands more than once: 24 in row {sheet.row_of('IV250')} and 12 in row {again}. "
        "Each is a row of the draft.",
    )


def test_one_number_over_two_rows_is_for_a_person(sheet):
    at = sheet.row_of("RD250")
    sheet.put("RD250", 24)
    sheet.sheet.merge_cells(start_row=at, end_row=at + 1, start_column=COLUMN["pairs"], end_column=COLUMN["pairs"])
    [(row, why)] = doubts_of(read(sheet.data))
    assert (row, why) == (at, f"I{at}:I{at + 1} is one merged cell: for which candle?")


def test_code_and_name_of_two_candles_are_asked_about(sheet):
    sheet.put("IV250", 24)
    sheet.put("IV250", "Winter red taper 250 x 22", "candle")
    assert doubts_of(read(sheet.data)) == [(sheet.row_of("IV250"), "Code and name are of two candles.")]


def test_a_list_of_their_own_is_read_by_its_headings():
    came = read(b"Item;Qty\nIvory taper 250 x 22;24\nmoss;2 boxes\n", made=())
    assert (pairs_of(came), came.head.form) == ({"IV250": 24, "MS180": 48}, None)


@pytest.mark.parametrize(
    "data", [b"hello,world\n1,2\n", b"Code,Candle,Price a pair\nIV250,Ivory taper 250 x 22,2.20\n"]
)
def test_a_file_without_a_list_is_refused_in_words(data):
    with pytest.raises(NotAForm, match="no row with the headings “Code” and “Pairs wanted”"):
        read(data)


def test_a_list_of_thousands_of_rows_is_refused_before_it_is_read():
    rows = "".join(f"nonsense {n},,{n}\n" for n in range(2_100))
    with pytest.raises(NotAForm, match="2,101 rows"):
        read(f"{COLUMNS['code']},{COLUMNS['candle']},{COLUMNS['pairs']}\n{rows}".encode())


def test_labels_and_values_are_found_on_either_side(sheet):
    sheet.head("reference", "PO 17")
    sheet.head("day", date(2026, 12, 9))
    sheet.sheet.move_range("C1:C10", cols=-2)
    head = read(sheet.data).head
    assert (head.reference, head.day, head.form) == ("PO 17", "2026-12-09", 101)


HEADINGS = next(row for row in MADE[0].rows if row.cell(1) == "Code").number
WORDS = st.text("abcIV250 .,:?!xé-", min_size=1, max_size=12).map(lambda text: " ".join(text.split())).filter(
    lambda text: text not in ("", "-", "0", "no")
)  # fmt: skip


@given(
    st.dictionaries(
        st.tuples(st.integers(1, HEADINGS + 9), st.sampled_from([COLUMN["pairs"] - 1, COLUMN["note"] - 1, 11, 14])),
        WORDS,
        max_size=8,
    )
)
def test_nothing_typed_is_passed_over(typed):
    cells = {row.number: [*row.cells, *[""] * (15 - len(row.cells))] for row in MADE[0].rows}
    for (row, column), text in typed.items():
        if row != HEADINGS:
            cells.setdefault(row, [""] * 15)[column] = text
    changed = Grid("Order form", tuple(Row(row, tuple(cells[row])) for row in sorted(cells)))
    came = read_form([changed, MADE[1]], READER, MADE, most=400)
    head = [came.head.notes, came.head.reference, came.head.day]
    heard = " ".join([*head, *(line.said for line in came.lines), *came.remarks, *came.told])
    for (row, _), text in typed.items():
        if row != HEADINGS:
            assert text in heard
