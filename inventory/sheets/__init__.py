"""Reading other people's spreadsheets: CSV or XLSX in, rows of text out. No Django.

A file is read whole or refused in words (SheetRefused), and it may be hostile: its size, what it unpacks to, its
rows and the time it takes are bounded before and while it is read. parts.py says what comes out and the limits,
csv_in.py and xlsx_in.py read the two formats into grids, reading.py finds the headings in one.
"""

from inventory.sheets.parts import Grid, Row, Sheet, SheetRefused, column_letter, place_of
from inventory.sheets.reading import read_grids, read_sheet, sheet_of

__all__ = ["Grid", "Row", "Sheet", "SheetRefused", "column_letter", "place_of", "read_grids", "read_sheet", "sheet_of"]
