"""Where labels lie on their sheet, and how large they are. No Django here: lengths in mm, counts whole.

A sheet is an inventory.models.LabelSheet, or anything with its measures.
"""

from decimal import Decimal

MOST_LABELS = 400
# The least label that holds all of its words and marks; tried with the longest names in tests/outside/test_labels.py.
# Width and height in mm, and its letters in points: those of a case are read from the other side of a store.
PACK = (Decimal(88), Decimal(66), Decimal(7))
CASE = (Decimal(99), Decimal(130), Decimal(9))
EDGE_MM = Decimal(4)  # kept free inside a label: no printer hits the edge


def places_of(sheet, count: int, start: int) -> list[list[tuple[Decimal, Decimal]]]:
    """Where that many labels lie: page by page the (left, top) of each in mm, the first page from place `start` on.

    ValueError for a start that is not on the page.
    """
    to_a_page = sheet.columns * sheet.rows
    if not 1 <= start <= to_a_page:
        raise ValueError(f"place {start} of a sheet with {to_a_page}")
    pages = {}
    for n in range(start - 1, start - 1 + count):
        page, place = divmod(n, to_a_page)
        row, column = divmod(place, sheet.columns)
        left = sheet.left_mm + column * (sheet.label_w_mm + sheet.gap_x_mm)
        top = sheet.top_mm + row * (sheet.label_h_mm + sheet.gap_y_mm)
        pages.setdefault(page, []).append((left, top))
    return list(pages.values())


def room_within(sheet) -> Decimal:
    """Width of a label that may be printed on."""
    return sheet.label_w_mm - 2 * EDGE_MM


def letters_of(sheet, *, least: tuple[Decimal, Decimal, Decimal]) -> Decimal:
    """Height of a label's letters in points: those of the least of its kind, up to half as much again on others."""
    width, height, letters = least
    return letters * min(sheet.label_w_mm / width, sheet.label_h_mm / height, Decimal("1.5"))


def style_of(sheet, *, least: tuple[Decimal, Decimal, Decimal]) -> str:
    """CSS for pages of one label each, as large as the sheet's labels, with letters of their height."""
    size = f"{sheet.label_w_mm}mm {sheet.label_h_mm}mm"
    return (
        f"@page label {{ size: {size}; margin: 0; "
        "@top-left { content: none } @bottom-left { content: none } @bottom-right { content: none } }\n"
        f".label {{ page: label; width: {sheet.label_w_mm}mm; height: {sheet.label_h_mm}mm; padding: {EDGE_MM}mm; "
        f"font-size: {letters_of(sheet, least=least):.2f}pt; }}"
    )
