"""Order forms made, and filled in as a shop would do it."""

import io
import uuid
from collections.abc import Callable, Mapping

from django.utils import timezone
from openpyxl import load_workbook

from orders.domain.forms_back import take_in_form
from orders.domain.order_forms import make_order_form
from orders.models import FormBack, OrderForm
from orders.order_form.parts import COLUMNS, LABELS
from orders.queries.order_forms import usual_stretch
from tests.factories.house import make_person

COLUMN = {name: n for n, name in enumerate(COLUMNS, start=1)}


def make_form(shop, by=None, **fields) -> OrderForm:
    first, last = usual_stretch(timezone.localdate())
    values = {"first_day": first, "last_day": last, "note": "", "submission": uuid.uuid4(), **fields}
    return make_order_form(shop=shop, by=by or make_person("packer"), **values)


class Filled:
    """A form opened in a spreadsheet: cells by label and by candle."""

    def __init__(self, content: bytes):
        self.book = load_workbook(io.BytesIO(content))
        self.sheet = self.book.active
        self.top = next(row for row in range(1, 60) if self.sheet.cell(row, COLUMN["code"]).value == COLUMNS["code"])

    def head(self, label: str, value) -> None:
        row = next(row for row in range(1, self.top) if self.sheet.cell(row, 2).value == LABELS[label])
        self.sheet.cell(row, 3).value = value

    def row_of(self, code: str) -> int:
        rows = range(self.top + 1, self.sheet.max_row + 1)
        return next(row for row in rows if self.sheet.cell(row, COLUMN["code"]).value == code)

    def put(self, code: str, value, column: str = "pairs") -> None:
        self.sheet.cell(self.row_of(code), COLUMN[column]).value = value

    def add(self, **values) -> int:
        """A row at the first free one below the list; its number."""
        free = next(
            row
            for row in range(self.top + 1, self.sheet.max_row + 2)
            if not any(self.sheet.cell(row, COLUMN[name]).value for name in ("code", "candle", "pairs", "note"))
        )
        for name, value in values.items():
            self.sheet.cell(free, COLUMN[name]).value = value
        return free

    @property
    def rows(self) -> list[list]:
        return [[cell.value for cell in row] for row in self.sheet.iter_rows()]

    @property
    def data(self) -> bytes:
        made = io.BytesIO()
        self.book.save(made)
        return made.getvalue()


def filled(form: OrderForm, wanted: Mapping[str, object], change: Callable[[Filled], None] | None = None) -> bytes:
    """The form's file with pairs written beside these codes, and what else `change` does to it."""
    found = Filled(bytes(form.file.content))
    for code, value in wanted.items():
        found.put(code, value)
    if change:
        change(found)
    return found.data


def make_back(form: OrderForm, wanted: Mapping[str, object], by=None) -> FormBack:
    data = filled(form, wanted)
    return take_in_form(name="order.xlsx", data=data, shop=None, by=by or make_person("packer")).back
