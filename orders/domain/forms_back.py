"""A form that came back becomes a draft, once, for somebody to look over. Nothing is ordered by it alone.

It is read before any row is locked: a hostile file may take its thirty seconds.
"""

import json
import uuid
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from hashlib import sha256

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.models import FIRSTS, Candle
from inventory.sheets import Grid, SheetRefused, read_grids
from inventory.words import counted
from orders.domain.form_header import header_of
from orders.domain.kept_files import keep_file
from orders.domain.ordering import MOST_ROWS, Row, save_draft, start_draft
from orders.domain.pricing import price_candles
from orders.models import FormBack, OrderForm, Shop
from orders.models.kept_file import XLSX
from orders.models.order import CANCELLED
from orders.order_form import told
from orders.order_form.reading import Came, NotAForm, number_of, read_form
from orders.order_form.rows import Line
from orders.queries.entry import CandleBook
from orders.queries.order_forms import back_with, van_days_between
from orders.reading import Doubt, Read

CSV = "text/csv"
SAME = uuid.UUID("8c1f5f0e-6f0a-4c3b-9a55-0d7c2a3f6a01")  # the name under which same contents make one submission


@dataclass(frozen=True)
class Taken:
    """`new` False: the very same had been read before, and `back` is what it became then."""

    back: FormBack
    new: bool


def take_in_form(*, name: str, data: bytes, shop: Shop | None, by) -> Taken:
    """Read a filled-in form into a draft. `shop` empty: the form's own number says whose it is.

    ValidationError: for `file` where it is no form, is over the limits or orders nothing; for `shop` where the form is
    another shop's, or nothing says whose.
    """
    try:
        grids = read_grids(data, name)
        number = number_of(grids).form
        form = OrderForm.objects.select_related("shop", "file").filter(number=number).first() if number else None
        shop = _whose(form, number, shop)
        book = CandleBook()
        came = read_form(grids, book.reader, _as_made(form), most=MOST_ROWS)
    except SheetRefused as refused:
        raise ValidationError({"file": refused.faults}) from None
    except NotAForm as refused:
        raise ValidationError({"file": str(refused)}) from None
    _check_orders_something(came)
    said = [*_about_number(form, number), *came.told, *_prices_since(form, came, book)]
    return _keep(name=name, data=data, shop=shop, form=form, came=came, book=book, said=said, by=by)


def _whose(form: OrderForm | None, number: int | None, shop: Shop | None) -> Shop:
    if form is None and shop is None:
        gone = f"No form OF-{number} was made here" if number else "The form's number is gone"
        raise ValidationError({"shop": f"{gone}: say whose order it is."})
    if form is not None and shop is not None and form.shop_id != shop.pk:
        raise ValidationError(
            {"shop": f"{form} was made for {form.shop}, not for {shop}. Choose that shop, or no shop."}
        )
    return shop or form.shop


def _as_made(form: OrderForm | None) -> Sequence[Grid]:
    return read_grids(bytes(form.file.content), form.file.name) if form else ()


def _check_orders_something(came: Came) -> None:
    if not came.ordered:
        words = "; ".join(filter(None, [came.head.notes, *came.remarks]))
        besides = f" They wrote: {words[:400]}" if words else ""
        raise ValidationError({"file": f"No pairs stand on it, so there is nothing to order.{besides}"})


def _about_number(form: OrderForm | None, number: int | None) -> list[str]:
    if form is not None:
        return []
    return [
        f"No form OF-{number} was made here." if number else "The form's number is gone: prices were not compared."
    ]


def _prices_since(form: OrderForm | None, came: Came, book: CandleBook) -> list[str]:
    """What changed since the form was made, of the candles that were ordered."""
    if form is None:
        return []
    if form.currency != form.shop.currency:
        return [f"The form's prices are in {form.currency}; the shop buys in {form.shop.currency} by now."]
    codes = dict.fromkeys(line.part.code for line in came.lines if isinstance(line.part, Read))
    candles: list[Candle] = [book.by_code[code] for code in codes]
    priced = price_candles(form.shop, FIRSTS, [(candle, 0) for candle in candles])
    now = {candle.code: one.price if one.known else None for candle, one in zip(candles, priced, strict=True)}
    return told.price_changes(str(form), form.made_on, {row["code"]: Decimal(row["price"]) for row in form.rows}, now)


@transaction.atomic
def _keep(*, name: str, data: bytes, shop: Shop, form, came: Came, book: CandleBook, said: list[str], by) -> Taken:
    """The draft of what was read. Two who read the same file at once meet at the draft's number."""
    digest = _digest(came)
    put_away = FormBack.objects.filter(order__shop=shop, sha256=digest, order__status=CANCELLED).count()
    order = start_draft(shop=shop, submission=uuid.uuid5(SAME, f"{shop.pk} {digest} {put_away}"), by=by)
    if same := back_with(shop, digest).first():
        return Taken(same, new=False)
    header, about = header_of(order, came.head, _days_of(form))
    said = [*said, *about, *_before(form), *told.they_wrote(came.head.notes, came.remarks)]
    rows, unread = _rows(came, book)
    header["notes"], no_room = told.notes_of([came.head.notes, *header.pop("more"), *came.remarks])
    # What finds no room in the note is a row to look at: nothing they wrote gets lost.
    unread += [
        {"at": at, "text": text[: told.LONGEST_TEXT], "pairs": "", "line": text, "why": "A remark."}
        for at, text in enumerate(no_room, start=len(rows) + len(unread))
    ]
    order = save_draft(order=order, version=order.version, header=header, rows=rows, unread=unread, by=by)
    back = FormBack.objects.create(
        form=form,
        order=order,
        file=keep_file(name=name, media_type=XLSX if data.startswith(b"PK") else CSV, content=data),
        sha256=digest,
        told=said,
        rows=[_row(line) for line in came.lines],
        read_at=timezone.now(),
        read_by=by,
    )
    sum_up = told.what_was_read(len(rows), sum(row.pairs for row in rows), len(unread))
    record(subject="order", subject_id=order.pk, what=f"From {form or 'an order form'} come back: {sum_up}.", by=by)
    return Taken(back, new=True)


def _row(line: Line) -> dict:
    """A row as it is shown again: what it said and what became of it."""
    doubt = isinstance(line.part, Doubt)
    return {
        "row": line.row, "said": line.said, "became": became(line.part), "doubt": doubt, "left_out": line.left_out
    }  # fmt: skip


def _days_of(form: OrderForm | None) -> list[date]:
    return van_days_between(form.first_day, form.last_day) if form else []


def _digest(came: Came) -> str:
    """Of what it says: saved anew, or sorted, the same order is the same."""
    head = came.head
    says = [head.number, head.reference, head.day, head.address, head.notes, sorted(line.said for line in came.lines)]
    return sha256(json.dumps([*says, list(came.remarks)]).encode()).hexdigest()


def _before(form: OrderForm | None) -> list[str]:
    if form is None:
        return []
    earlier = (
        FormBack.objects.filter(form=form).exclude(order__status=CANCELLED).select_related("order").order_by("pk")
    )
    orders = [(one.order.number, one.order.status, timezone.localdate(one.read_at)) for one in earlier]
    return told.came_before(str(form), orders)


def _rows(came: Came, book: CandleBook) -> tuple[list[Row], list[dict]]:
    """Understood rows and those to look at, each of these with its place in the sheet."""
    rows, unread = [], []
    for line in came.ordered:
        if isinstance(line.part, Read):
            rows.append(Row(book.by_code[line.part.code], line.part.pairs))
        else:
            part = line.part
            unread.append(
                {
                    "at": len(rows) + len(unread),
                    "text": (part.candle or part.quantity or line.said)[: told.LONGEST_TEXT],
                    "pairs": part.quantity[:40] if part.candle else "",
                    "line": f"{line.place}: {line.said}",
                    "why": part.why,
                }
            )
    return rows, unread


def became(part) -> str:
    """What a row turned out to be, in words."""
    if isinstance(part, Read):
        boxes = f" ({counted(part.boxes, 'box', 'boxes')})" if part.boxes else ""
        return f"{part.code}, {counted(part.pairs, 'pair')}{boxes}"
    return part.why
