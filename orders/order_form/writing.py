"""The workbook of an order form. Plain cells, one sheet to fill in, nothing merged, no program in it.

It is protected without a password: against slips, not against the shop, and sorting or a remark elsewhere does no harm
when it is read back. Sums are formulas, so that the shop sees what its order comes to.
"""

import io
from datetime import datetime, time

from openpyxl import Workbook
from openpyxl.drawing.image import Image
from openpyxl.drawing.spreadsheet_drawing import AnchorMarker, TwoCellAnchor
from openpyxl.utils import get_column_letter
from openpyxl.utils.units import pixels_to_EMU
from openpyxl.worksheet.datavalidation import DataValidation

from inventory.signs import for_xml
from orders.order_form import looks
from orders.order_form.parts import ADDRESSES_HEADING, COLUMNS, DAYS_HEADING, DAYS_SHEET, LABELS, Form, FormRow

FIRST_LABEL = 3
FREE_ROWS = 6  # below the list, for what is not on it
LETTER = {name: get_column_letter(n) for n, name in enumerate(COLUMNS, start=1)}
RIGHT_SIDE = ("box", "price", "last", "pairs", "value")
PX_IN_POINTS = 0.75


def write_form(form: Form) -> bytes:
    """The form as the bytes of an XLSX file."""
    book = Workbook()
    sheet = book.active
    sheet.title = "Order form"
    days = book.create_sheet(DAYS_SHEET)
    top = _write_head(sheet, form)
    last = _write_rows(sheet, form, top)
    _write_sums(sheet, form, top, last)
    _write_days(days, form)
    _offer(sheet, form)
    _set_up(sheet, top, last)
    book.calculation.fullCalcOnLoad = True
    book.properties.creator = book.properties.lastModifiedBy = for_xml(form.house[0]) if form.house else ""
    book.properties.title = f"Order form {form.number}"
    made = io.BytesIO()
    book.save(made)
    return made.getvalue()


def _write_head(sheet, form: Form) -> int:
    """Title, labels and terms; the row of the headings."""
    _text(sheet["B1"], f"Order form for {form.shop}", looks.TITLE)
    _text(sheet["B2"], ", ".join(form.house), looks.QUIET)
    said = {"form": form.number, "address": form.addresses[0] if form.addresses else ""}
    for row, (name, label) in enumerate(LABELS.items(), start=FIRST_LABEL):
        _text(sheet.cell(row, 2), label, looks.BOLD)
        cell = sheet.cell(row, 3)
        _text(cell, said.get(name, ""))
        if name in ("reference", "day", "address", "notes"):
            cell.protection, cell.fill, cell.border = looks.OPEN, looks.GROUND, looks.TO_FILL_IN
    _cell_of(sheet, "made").value = datetime.combine(form.made_on, time())
    _cell_of(sheet, "made").number_format = _cell_of(sheet, "day").number_format = looks.DAY
    below = FIRST_LABEL + len(LABELS)
    for row, sentence in enumerate(form.terms, start=below):
        _text(sheet.cell(row, 2), sentence, looks.QUIET)
    return below + len(form.terms) + 1


def _cell_of(sheet, label: str):
    return sheet.cell(FIRST_LABEL + list(LABELS).index(label), 3)


def _write_rows(sheet, form: Form, top: int) -> int:
    """The headings and a row a candle, then free rows; the last row."""
    for column, (name, heading) in enumerate(COLUMNS.items(), start=1):
        cell = sheet.cell(top, column)
        _text(cell, heading, looks.BOLD)
        cell.border = looks.RULE
        cell.alignment = looks.RIGHT if name in RIGHT_SIDE else looks.WRAPPED
    for number, row in enumerate(form.rows, start=top + 1):
        _write_row(sheet, number, row)
        tall = (row.picture[2] + 6) * PX_IN_POINTS if row.picture else 0
        sheet.row_dimensions[number].height = max(looks.LEAST_HEIGHT, tall)
    last = top + len(form.rows)
    for number in range(last + 1, last + 1 + FREE_ROWS):
        sheet.row_dimensions[number].height = looks.LEAST_HEIGHT
        for name in ("code", "candle", "pairs", "note"):
            _open(sheet[f"{LETTER[name]}{number}"], name)
    return last + FREE_ROWS


def _write_row(sheet, number: int, row: FormRow) -> None:
    more = ", ".join(f"{pairs // row.pairs_per_box}+ boxes {price:,.2f}" for pairs, price in row.steps)
    values = {
        "code": row.code, "candle": row.name, "size": row.size, "box": row.pairs_per_box, "price": row.price,
        "more": more, "last": row.last or None, "value": value_formula(number, row),
    }  # fmt: skip
    for name in COLUMNS:
        cell = sheet[f"{LETTER[name]}{number}"]
        value = values.get(name)
        if isinstance(value, str) and name != "value":
            _text(cell, value)
        else:
            cell.value, cell.font = value, looks.TEXT
        cell.border = looks.HAIRLINE
        cell.alignment = looks.RIGHT if name in RIGHT_SIDE else looks.WRAPPED
        if name in ("price", "value"):
            cell.number_format = looks.MONEY
        if name in ("pairs", "note"):
            _open(cell, name)
    if row.picture:
        _put_picture(sheet, number, *row.picture)


def value_formula(number: int, row: FormRow) -> str:
    """What the pairs typed in a row come to: box price reached, discount off, half a penny up, as on the invoice."""
    pairs = f"{LETTER['pairs']}{number}"
    price = str(row.price)
    for least, step in row.steps:
        price = f"IF({pairs}>={least},{step},{price})"
    off = f"*{(100 - row.discount) / 100:f}" if row.discount else ""
    return f'=IF(ISNUMBER({pairs}),ROUND({pairs}*{price}{off},2),"")'


def _open(cell, name: str) -> None:
    cell.protection, cell.fill, cell.border, cell.font = looks.OPEN, looks.GROUND, looks.TO_FILL_IN, looks.TEXT
    cell.alignment = looks.RIGHT if name == "pairs" else looks.WRAPPED


def _put_picture(sheet, number: int, png: bytes, width: int, height: int) -> None:
    # Anchored at both ends within its cell, a picture moves and is sorted with it.
    image = Image(io.BytesIO(png))
    corners = [
        AnchorMarker(col=0, colOff=pixels_to_EMU(x), row=number - 1, rowOff=pixels_to_EMU(y))
        for x, y in ((6, 3), (6 + width, 3 + height))
    ]
    image.anchor = TwoCellAnchor(editAs="twoCell", _from=corners[0], to=corners[1])
    sheet.add_image(image)


def _write_sums(sheet, form: Form, top: int, last: int) -> None:
    for label, column, kind in (("pairs", "pairs", "#,##0"), ("goods", "value", looks.MONEY)):
        cell = _cell_of(sheet, label)
        cell.value = f"=SUM({LETTER[column]}{top + 1}:{LETTER[column]}{last})"
        cell.number_format, cell.font, cell.alignment = kind, looks.BOLD, looks.LEFT
    _cell_of(sheet, "goods").number_format = f'"{form.symbol} "{looks.MONEY}'


def _write_days(sheet, form: Form) -> None:
    """The days of the van and the shop's addresses: what the two lists in the head are chosen from."""
    for column, heading in enumerate((DAYS_HEADING, ADDRESSES_HEADING), start=1):
        _text(sheet.cell(1, column), heading, looks.BOLD)
        sheet.column_dimensions[get_column_letter(column)].width = 24 if column == 1 else 48
    for row, when in enumerate(form.days, start=2):
        cell = sheet.cell(row, 1)
        cell.value, cell.number_format, cell.font = datetime.combine(when, time()), looks.DAY, looks.TEXT
        cell.alignment = looks.LEFT
    for row, address in enumerate(form.addresses, start=2):
        _text(sheet.cell(row, 2), address)
    sheet.freeze_panes = "A2"
    sheet.protection.sheet = True


def _offer(sheet, form: Form) -> None:
    """Lists to choose from; another day or address may be typed all the same, and is asked about when it is read."""
    for label, letter, how_many in (("day", "A", len(form.days)), ("address", "B", len(form.addresses))):
        if how_many:
            rule = DataValidation(
                type="list", formula1=f"={DAYS_SHEET}!${letter}$2:${letter}${how_many + 1}", allow_blank=True,
                errorStyle="warning", showErrorMessage=True, errorTitle="Not on our list",
                error="Take it all the same? We will ask you.",
            )  # fmt: skip
            sheet.add_data_validation(rule)
            rule.add(_cell_of(sheet, label))


def _set_up(sheet, top: int, last: int) -> None:
    for name, letter in LETTER.items():
        sheet.column_dimensions[letter].width = looks.WIDTHS[name]
    sheet.row_dimensions[1].height = 26
    for row in range(FIRST_LABEL, FIRST_LABEL + len(LABELS)):
        sheet.row_dimensions[row].height = looks.HEAD_HEIGHT
    sheet.row_dimensions[top].height = 32
    sheet.freeze_panes = f"A{top + 1}"
    sheet.protection.sheet = True
    # In this format a switch that is on forbids: a shop may sort, filter and widen.
    for allowed in ("sort", "autoFilter", "formatColumns", "formatRows"):
        setattr(sheet.protection, allowed, False)
    sheet.print_title_rows = f"{top}:{top}"
    sheet.print_area = f"A1:{LETTER['note']}{last}"
    sheet.page_setup.orientation, sheet.page_setup.paperSize = "landscape", sheet.PAPERSIZE_A4
    sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight = 1, 0
    sheet.sheet_properties.pageSetUpPr.fitToPage = True
    sheet.sheet_view.showGridLines = False


def _text(cell, text: str, font=looks.TEXT) -> None:
    # What begins with "=" would be taken for a formula.
    cell.value = for_xml(text) or None
    cell.font, cell.alignment = font, looks.LEFT
    if cell.value is not None:
        cell.data_type = "s"
