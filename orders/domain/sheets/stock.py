"""Opening stock from a sheet: each row is a lot counted in."""

from collections.abc import Sequence
from datetime import date

from django.utils import timezone

from inventory.domain.lots import open_lot
from inventory.domain.sheet_columns import column_of
from inventory.domain.sheets import Kind, Taking
from inventory.models import FIRSTS, Lot, Shelf
from inventory.sheets.columns import Column, FilledRow
from inventory.sheets.outcome import LEFT_OUT, NEW
from inventory.sheets.values import day_of, text_of
from inventory.words import day, in_pairs
from orders.domain.sheets.cells import candle_columns, candle_in, pairs_in

EARLIEST = date(2000, 1, 1)


def columns() -> list[Column]:
    shelves = {shelf.code: shelf for shelf in Shelf.objects.all()}
    today = timezone.localdate()
    return [
        *candle_columns(),
        column_of(Lot, "grade", also=("Quality",), example="firsts"),
        column_of(Lot, "fault", also=("What is wrong",)),
        Column(
            "made_on", "Dipped on", day_of(least=EARLIEST, most=today), ("Date", "Made on", "Made", "Dipped"), False,
            "a day, as 9/12/2026; empty: today", f"{today:%d/%m/%Y}",
        ),
        column_of(Lot, "shelf", also=("Lies on", "Place"), rows=shelves),
        Column(
            "code", "Code on the box", text_of(20, lambda text: text.strip().upper()), ("Lot", "Batch", "Lot code"),
            False, "empty: the next of that grade and day",
        ),
        Column("reason", "Where they come from", text_of(200), ("Reason", "Note", "Notes"), False, "in your words"),
    ]  # fmt: skip


def take(rows: Sequence[FilledRow], taking: Taking) -> None:
    for row in rows:
        with taking.row(row):
            _take_row(row, taking)


def _take_row(row: FilledRow, taking: Taking) -> None:
    values = row.values
    candle = candle_in(values)
    pairs = pairs_in(values, candle)
    if not pairs:
        taking.became(row, LEFT_OUT, candle.code, "No pairs stand beside it.")
        return
    lot = open_lot(
        candle=candle,
        grade=values.get("grade", FIRSTS),
        made_on=values.get("made_on", timezone.localdate()),
        pairs=pairs,
        kind="counted in",
        reason=values.get("reason", f"Opening stock, sheet {taking.read.name}"[:200]),
        by=taking.by,
        shelf=values.get("shelf"),
        fault=values.get("fault", ""),
        code=values.get("code"),
        reference="sheet",
    )
    where = f", shelf {lot.shelf}" if lot.shelf else ""
    said = f"{in_pairs(pairs)} of {lot.grade}, dipped on {day(lot.made_on)}, as lot {lot.code}{where}"
    taking.became(row, NEW, candle.code, said)


STOCK = Kind(
    key="stock",
    title="Stock",
    place="lots",
    one="row of stock",
    many="rows of stock",
    says=(
        "A row is pairs of one candle and grade that lie there: it becomes a lot of its own, counted in.",
        "The candle has to be in the catalogue, by code, GTIN or whole name; one of another year is refused and the "
        "nearest offered.",
        "The same file is loaded once: a second time would count its pairs twice.",
    ),
    columns=columns,
    take=take,
    keys=("code",),
    once=True,
)
