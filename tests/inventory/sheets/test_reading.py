"""A file in, rows of text out: whatever a spreadsheet writes, and nothing of what an attacker does."""

from contextlib import suppress
from datetime import date, datetime
from decimal import Decimal

import pytest

from inventory.sheets import SheetRefused, read_grids, read_sheet
from inventory.sheets.parts import column_letter
from tests.factories.sheets import SHEET_PART, make_csv, make_xlsx, sheet_part, with_part

pytestmark = pytest.mark.sqlite


def cells_of(data: bytes) -> list[tuple[str, ...]]:
    return [row.cells for row in read_sheet(data).rows]


def refusals(data: bytes) -> list[str]:
    with pytest.raises(SheetRefused) as refused:
        read_sheet(data, "list.xlsx")
    return refused.value.faults


@pytest.mark.parametrize("separator", [",", ";", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_csv_of_any_country_reads_the_same(separator, encoding):
    rows = [["Name", "Town"], ["Café Rose", "Exmouth"], ['The "Lamp" Room', "x, y; z\tä|"]]
    text = "\r\n".join(separator.join('"' + cell.replace('"', '""') + '"' for cell in row) for row in rows)
    sheet = read_sheet(text.encode(encoding))
    assert sheet.headings == ("Name", "Town")
    assert [row.cells for row in sheet.rows] == [tuple(row) for row in rows[1:]]


def test_rows_are_numbered_as_a_spreadsheet_numbers_them():
    csv = read_sheet(b"sep=;\n\nCode;Pairs\n\nIV250;24\n;;\nRD250;12\n")
    assert (csv.heading_row, [row.number for row in csv.rows]) == (3, [5, 7])
    xlsx = read_sheet(make_xlsx([], ["Code", "Pairs"], [], ["IV250", 24]))
    assert (xlsx.heading_row, [row.number for row in xlsx.rows]) == (2, [4])


def test_cells_of_xlsx_become_the_text_they_show():
    def shape(sheet):
        sheet["C2"].number_format = "0.0%"

    row = [Decimal("2.20"), 5012345678900, 0.125, date(2026, 12, 9), datetime(2026, 12, 9, 9, 30), True, "  é\xa0x "]
    data = make_xlsx([f"h{n}" for n in range(7)], row, shape=shape)
    assert cells_of(data) == [("2.2", "5012345678900", "12.5%", "2026-12-09", "2026-12-09 09:30", "yes", "é x")]


def test_what_no_database_keeps_is_taken_out_of_texts():
    inside = "<row><c t='inlineStr'><is><t>a_x0000__xD800_b_x000D_</t></is></c><c t='str'><v>h</v></c></row>" * 2
    assert cells_of(with_part(make_xlsx(["a"]), SHEET_PART, sheet_part(inside))) == [("ab", "h")]
    assert cells_of(make_xlsx(["h", "i"], ["_xDFFF_x", "y"])) == [("x", "y")]


def test_the_headings_are_the_row_with_the_most_known_names():
    rows = (["Our shops", "2026"], ["printed", "9 Dec"], ["Shop name", "Town"], ["Ossel Gifts", "Carrick"])
    assert read_sheet(make_xlsx(*rows), known=["Shop name", "town"]).heading_row == 3
    assert read_sheet(make_xlsx(*rows)).heading_row == 1


def test_the_first_sheet_that_is_not_hidden_is_read_and_the_others_are_named():
    def hide(sheet):
        sheet.parent.create_sheet("Empty")
        sheet.sheet_state = "hidden"

    data = make_xlsx(["a", "b"], [1, 2], shape=hide, Stock=[["Code", "Pairs"], ["IV250", 3]])
    sheet = read_sheet(data)
    assert (sheet.title, sheet.headings, sheet.left_out) == ("Stock", ("Code", "Pairs"), ("Sheet",))


def test_formulas_errors_and_merged_cells_are_all_refused_at_once_by_their_place():
    def shape(sheet):
        sheet["B3"] = "=1+1"
        sheet["C3"] = "#REF!"
        sheet["C3"].data_type = "e"
        sheet.merge_cells("A4:A5")

    found = refusals(make_xlsx(["Code", "Pairs", "Note"], ["IV250", 2, "x"], ["RD250"], ["BW300", 1, ""], shape=shape))
    assert [line.split(":")[0] for line in found] == ["A4", "B3", "C3"]
    assert refusals(make_csv("Code,Pairs", "IV250,=1+1"))[0].startswith("B2: a formula (=1+1)")


def test_what_stands_merged_above_the_headings_does_no_harm():
    data = make_xlsx(["Our shops"], ["Code", "Pairs"], ["IV250", 1], shape=lambda sheet: sheet.merge_cells("A1:B1"))
    assert cells_of(data) == [("IV250", "1")]


def test_grids_tell_formulas_instead_of_refusing_them():
    (grid,) = read_grids(make_xlsx(["Pairs"], ["=12*2"]))
    assert [row.cells for row in grid.rows] == [("Pairs",), ("=12*2",)]


def test_what_our_own_export_made_harmless_comes_back_as_it_was():
    assert cells_of(make_csv("Name,Note", "'+44 1632,'-")) == [("+44 1632", "-")]
    assert refusals(make_csv("Name,Note", "x,'=1+1"))[0].startswith("B2: a formula")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "is empty"),
        (b"Name,Town\n", "no row beneath"),
        (make_xlsx(["Name", "Town"]), "no row beneath"),
        (b"\xd0\xcf\x11\xe0" + b"\0" * 600, "old kind"),
        (b"GIF89a\x00\x01", "neither a CSV nor an XLSX"),
        (b"PK\x03\x04 and no more", "damaged"),
        (b"Name,Town\n" + b"x" * 10_000_000, "at most 10 MB"),
        (b"Name,Town\nOssel,Carrick\n\"Hob,Hexley\nFern,Flint\n", "quotation mark"),
        (b"Name,Town\n" + b"x,y\n" * 50_001, "more than 50,000 rows"),
        (b"a,b\n" + b"," * 250 + b"x\n", "more than 200 columns"),
        (b"a,b\n" + b"x" * 5_000 + b",y\n", "Cell A2 holds 5,000 signs"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_refused_in_words(data, said):
    assert said in refusals(data)[0]


def test_fifty_thousand_rows_are_read():
    assert len(read_sheet(b"a,b\n" + b"x,y\n" * 50_000).rows) == 50_000


@pytest.mark.parametrize(
    ("part", "content", "said"),
    [
        # 101 MB of blanks pack to 100 kB.
        (SHEET_PART, b" " * 101_000_000, "more than 100 MB"),
        (SHEET_PART, b"<!DOCTYPE a [<!ENTITY b 'bb'>]>" + sheet_part("&b;"), "document type"),
        (SHEET_PART, sheet_part("<row r='1'><c r='ZZZZZZ1' t='str'><v>x</v></c></row>"), "more than 200 columns"),
        (SHEET_PART, sheet_part("<row r='1'><c r='A1' t='s'><v>7</v></c></row>"), "damaged"),
        (SHEET_PART, b"<worksheet><sheetData>", "damaged"),
        ("xl/workbook.xml", b"<workbook/>", "is empty"),
    ],
)
def test_a_hostile_workbook_is_refused_in_words(part, content, said):
    assert said in refusals(with_part(make_xlsx(["a", "b"], ["c", "d"]), part, content))[0]


def test_a_workbook_spoilt_anywhere_is_read_or_refused_in_words():
    """Never anything else than rows or a sentence: every 7th byte of a workbook set to nought, one at a time."""
    whole = make_xlsx(["Name", "Town"], ["Ossel Gifts", "Carrick"])
    for at in range(0, len(whole), 7):
        spoilt = whole[:at] + b"\0" + whole[at + 1 :]
        with suppress(SheetRefused):
            assert read_grids(spoilt)


def test_reading_stops_at_the_limit_of_time(monkeypatch):
    monkeypatch.setattr("inventory.sheets.parts.time.monotonic", iter(range(0, 10_000, 20)).__next__)
    endless = sheet_part("<row r='1'>" + "<c/>" * 100_000)
    assert "longer than 30 seconds" in refusals(with_part(make_xlsx(["a"]), SHEET_PART, endless))[0]


@pytest.mark.parametrize(("column", "letter"), [(0, "A"), (25, "Z"), (26, "AA"), (701, "ZZ"), (702, "AAA")])
def test_columns_have_the_letters_of_a_spreadsheet(column, letter):
    assert column_letter(column) == letter
