"""What a cell of XLSX says as text. No Django."""

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime, time, timedelta
from decimal import Decimal

from openpyxl.styles.numbers import BUILTIN_FORMATS, is_date_format
from openpyxl.utils.datetime import CALENDAR_MAC_1904, CALENDAR_WINDOWS_1900, from_excel
from openpyxl.utils.escape import unescape

from inventory.sheets.parts import cleaned


@dataclass
class CellKinds:
    """Which styles (their place in the workbook's list, as written in the cell) show a day or a percentage."""

    days: set[str] = field(default_factory=set)
    percents: set[str] = field(default_factory=set)
    old_epoch: bool = False


def read_kinds(walk: Callable) -> CellKinds:
    """The styles of a workbook; `walk(begin, end)` goes through its part of styles."""
    kinds, formats = CellKinds(), dict(BUILTIN_FORMATS)
    within, place = False, 0

    def begin(name, attributes):
        nonlocal within, place
        if name == "numFmt" and attributes.get("numFmtId", "").isdecimal():
            formats[int(attributes["numFmtId"][:9])] = attributes.get("formatCode", "")[:200]
        elif name == "cellXfs":
            within = True
        elif name == "xf" and within:
            number = attributes.get("numFmtId", "")[:9]
            code = formats.get(int(number), "") if number.isdecimal() else ""
            if is_date_format(code):
                kinds.days.add(str(place))
            elif "%" in code:
                kinds.percents.add(str(place))
            place += 1

    def end(name, text):
        nonlocal within
        within = within and name != "cellXfs"

    walk(begin, end)
    return kinds


def text_in(value: str) -> str:
    """The text of a part of XLSX, which writes control signs as _x000D_."""
    return cleaned(unescape(value) if "_x" in value else value)


def cell_text(value: str, kind: str, style: str, kinds: CellKinds) -> str:
    """The text of a cell that holds its own value. `kind` as the format writes it: n, b, e, d, str, inlineStr."""
    if kind in ("str", "inlineStr", "e"):
        return text_in(value)
    if kind == "b":
        return {"1": "yes", "0": "no", "true": "yes", "false": "no"}.get(value.strip(), "")
    if kind == "d":
        return value.strip().removesuffix("T00:00:00")
    try:
        number = float(value)
        if style in kinds.days:
            return _day(from_excel(number, CALENDAR_MAC_1904 if kinds.old_epoch else CALENDAR_WINDOWS_1900))
        # Fifteen figures are what a spreadsheet shows of a number; the file holds 2.2 as 2.2000000000000002.
        found = Decimal(f"{number:.15g}")
        return f"{_plain(found * 100)}%" if style in kinds.percents else _plain(found)
    except (ValueError, ArithmeticError):
        return cleaned(value)


def _plain(number: Decimal) -> str:
    if not number.is_finite() or abs(number.adjusted()) > 40:
        raise ValueError(number)
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _day(found) -> str:
    if isinstance(found, datetime):
        return f"{found:%Y-%m-%d}" if found.time() == time() else f"{found:%Y-%m-%d %H:%M}"
    if isinstance(found, time):
        return f"{found:%H:%M}"
    if isinstance(found, timedelta):
        return f"{found.total_seconds() / 3600:.2f} hours"
    return "" if found is None else f"{found:%Y-%m-%d}"
