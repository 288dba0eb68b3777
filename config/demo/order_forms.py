"""Two order forms: one that a shop filled in and sent back, saved in its own way, and one still out."""

import csv
import io
import uuid
from datetime import date

from inventory.sheets import read_grids
from orders.domain.forms_back import take_in_form
from orders.domain.order_forms import make_order_form
from orders.models import OrderForm, Shop
from orders.order_form.parts import COLUMNS, LABELS
from orders.queries.order_forms import usual_stretch, van_days_between

OWN_WORDS = ("2 boxes", "a dozen", "36", "about 20")
PAIRS, CODE, CANDLE, REMARK = (list(COLUMNS).index(name) for name in ("pairs", "code", "candle", "note"))


def write_order_forms(today: date, shops: list[Shop], person) -> None:
    """Made by `person`; the first comes back as a sheet saved as CSV, with a remark and a candle we do not make."""
    buyers = [shop for shop in shops if shop.currency == "GBP" and shop.active and not shop.on_stop][2:4]
    first, last = usual_stretch(today)
    for place, shop in enumerate(buyers):
        form = make_order_form(
            shop=shop, first_day=first, last_day=last, note="", by=person,
            submission=uuid.uuid5(uuid.NAMESPACE_OID, f"demo order form {place}"),
        )  # fmt: skip
        if place == 0:
            day = van_days_between(first, last)[-1]
            take_in_form(name=f"{form} from {shop.name}.csv", data=_filled(form, day), shop=None, by=person)


def _filled(form: OrderForm, day: date) -> bytes:
    made = read_grids(bytes(form.file.content))[0].rows
    rows = [[row.cell(column) for column in range(len(COLUMNS))] for row in made]
    top = next(at for at, cells in enumerate(rows) if COLUMNS["pairs"] in cells)
    for cells in rows:
        if LABELS["day"] in cells:
            cells[CODE + 1] = f"{day:%d/%m/%Y}"
        elif LABELS["notes"] in cells:
            cells[CODE + 1] = "Same address as ever, please ring before you come"
    for place, words in enumerate(OWN_WORDS):
        rows[top + 2 + 3 * place][PAIRS] = words
    rows[top + 5][REMARK] = "these went first last year"
    added = [""] * len(COLUMNS)
    added[CANDLE], added[PAIRS] = "the greeny ones, tall", "24"
    sheet = io.StringIO()
    # A spreadsheet saves what a formula comes to; nobody here reads it.
    csv.writer(sheet).writerows(["" if cell.startswith("=") else cell for cell in cells] for cells in [*rows, added])
    return sheet.getvalue().encode()
