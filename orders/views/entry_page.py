"""The draft's page: what was sent or kept, what the book answers to it, and the sentence over it all."""

from datetime import date

from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.shortcuts import render
from django.utils import timezone

from inventory.models import SECONDS, Record
from inventory.words import counted, in_pairs
from orders.forms.entry import HeaderForm, PasteForm, VersionForm, typed_rows
from orders.models import Order
from orders.models.order import DRAFT
from orders.money import symbol_of
from orders.queries.earlier_orders import is_christmas, last_christmas, last_time, standing_of
from orders.queries.entry import (
    CandleBook,
    TypedRow,
    answer_rows,
    cover_of_rows,
    rows_to_keep,
    typed_rows_of,
)
from orders.queries.entry_total import total_of_rows
from orders.queries.seconds_boxes import boxed_lines, boxes_of_lines
from orders.ready_words import whole_of, whole_sentence
from orders.seconds_words import boxes_in_words
from orders.tables.entry import EntryTable, TheirsTable
from orders.tables.seconds_boxes import DraftBoxTable

BLANK, MORE = 4, 12  # empty rows under the typed ones: enough without a script, which adds its own


class Sent:
    """A draft's form as it came in."""

    def __init__(self, order: Order, data, *, confirming: bool = False):
        self.order, self.book = order, CandleBook()
        self.rows: list[TypedRow] = typed_rows(data)
        if "merge" in data:
            self.rows = merge_rows(self.rows, typed_rows_of(order))
        self.header = HeaderForm(data, order=order, confirming=confirming)
        self.header.is_valid()
        self.version = VersionForm(data).base
        self.whole = self.version > 0
        self.row_errors: list[str] = []

    def page_rows(self):
        return self.book.read(self.rows)

    def is_as_kept(self) -> bool:
        """Whether the form says what the order holds: the same page sent twice, after the order was taken."""
        rows, unread = rows_to_keep(self.page_rows())
        kept = list(self.order.lines.filter(seconds_box=None).values_list("candle_id", "pairs"))
        return not unread and [(row.candle.pk, row.pairs) for row in rows] == kept

    def put_errors(self, error: ValidationError) -> None:
        """Each message at its field; those about rows, or about no field, above the rows."""
        fields = error.message_dict if hasattr(error, "error_dict") else {NON_FIELD_ERRORS: error.messages}
        for name, texts in fields.items():
            if name in self.header.fields:
                # Said once, whether the form or the domain found it first.
                for text in texts:
                    if text not in self.header.errors.get(name, []):
                        self.header.add_error(name, text)
            else:
                self.row_errors.extend(texts)


class DraftPage:
    """Renders one draft: from what is kept, or from what was sent and may not have been kept."""

    def __init__(self, order: Order, sent: Sent | None = None, *, stale: bool = False, paste: PasteForm | None = None):
        self.order, self.sent, self.stale = order, sent, stale
        self.book = sent.book if sent else CandleBook()
        self.rows = self.book.read(sent.rows if sent else typed_rows_of(order))
        self.header = sent.header if sent else HeaderForm(order=order)
        self.paste = paste or PasteForm()

    def render(self, request, *, status: int = 200, more: bool = False):
        order, live = self.order, bool(request.headers.get("X-Draft"))
        plan = answer_rows(order, self.rows)
        boxed = boxed_lines(order) if self.is_seconds else []
        sums = total_of_rows(order, self.rows, boxed)
        total = sums.total
        cover = cover_of_rows(self.rows)
        doubts = sum(1 for row in self.rows if row.why)
        today = timezone.localdate()
        context = {
            "order": order,
            "headline": self.headline(cover, doubts, boxed),
            "boxes": DraftBoxTable(boxes_of_lines(boxed)) if boxed else None,
            "header": self.header,
            # After a stale version the old one stays, so that only the buttons of that panel write over theirs.
            "version": self.sent.version if self.sent and (self.stale or self.sent.row_errors) else order.version,
            "table": EntryTable(self.with_blanks(MORE if more else 1 if live else BLANK), second=self.is_seconds),
            "row_errors": self.sent.row_errors if self.sent else [],
            "paste": self.paste,
            # A script takes the parts marked data-live only: these stand outside them.
            "candles": [] if live else self.book.offered,
            "pairs": cover.pairs + sum(line.pairs for line in boxed),
            "open": cover.open,
            "ready": self.ready(plan, today),
            "doubts": doubts,
            "total": total,
            "sums": sums,
            "symbol": symbol_of(order.shop.currency),
            "last_time": None if live else last_time(order),
            "christmas": None if live else last_christmas(order, today),
            "standing": standing_of(order.shop, this_order=total.gross if total else 0, today=today),
            "theirs": self.theirs() if self.stale or order.status != DRAFT else None,
            "taken": order.status != DRAFT,
            "just_now": self.sent is not None,
            "saved": not (self.stale or (self.sent and (self.sent.row_errors or not self.sent.whole))),
            "now": timezone.localtime(),
        }
        return render(request, "orders/entry.html", context, status=status)

    @property
    def is_seconds(self) -> bool:
        return self.order.grade == SECONDS

    def with_blanks(self, blanks: int) -> list:
        rows = [*self.rows]
        rows += self.book.read([TypedRow()] * (len(rows) + blanks))[len(rows) :]
        first_blank = next((row for row in rows if row.typed.blank), None)
        for row in rows:
            row.autofocus = row is first_blank
        return rows

    def headline(self, cover, doubts: int, boxed: list) -> str:
        ship_by = self.header["ship_by"].value() if not self.header.is_bound else self.order.ship_by
        kind = "Seconds order" if self.is_seconds else "Christmas order" if is_christmas(ship_by) else "Order"
        whose = f"{kind} for {self.order.shop}: "
        looked_at = f"; {counted(doubts, 'row')} to look at" if doubts else ""
        boxes = boxes_in_words(boxes_of_lines(boxed))
        if not cover.pairs and boxes:
            return f"{whose}{boxes}{looked_at}."
        if not cover.pairs:
            return whose + ("nothing understood yet" if doubts else "nothing typed yet") + looked_at + "."
        where = "on the seconds shelf" if self.is_seconds else "in stock"
        if not cover.missing:
            filled = f"all {where}"
        elif cover.missing == cover.pairs:
            filled = f"none of them {where}"
        else:
            filled = f"all but {cover.missing:,} {where}"
        if cover.on_floor:
            filled += f", {cover.on_floor:,} on the floor"
        if cover.planned:
            filled += f", {cover.planned:,} planned"
        boxes = f", and {boxes}" if boxes else ""
        return f"{whose}{in_pairs(cover.pairs)}, {filled}{boxes}{looked_at}."

    def ready(self, plan: bool, today: date) -> str:
        """When all that is understood can be there."""
        rows = [row.ready for row in self.rows if row.ready]
        return whole_sentence(whole_of(rows), today=today, ship_by=self.order.ship_by, plan=plan) if rows else ""

    def theirs(self) -> dict:
        """What stands in the book now, and who wrote it last."""
        record = Record.objects.filter(subject="order", subject_id=self.order.pk).select_related("person").first()
        return {
            "table": TheirsTable(typed_rows_of(self.order), prefix="theirs-"),
            "by": record.person if record else self.order.made_by,
            "order": self.order,
        }


def merge_rows(mine: list[TypedRow], theirs: list[TypedRow]) -> list[TypedRow]:
    """Both hands' rows: mine, then theirs that mine lack. Another number for a candle of mine is put as a question."""
    mine = [row for row in mine if not row.blank]
    codes = {row.candle.strip().upper() for row in mine}
    have = {(row.candle.strip().upper(), row.pairs.strip()) for row in mine}
    for row in theirs:
        key = (row.candle.strip().upper(), row.pairs.strip())
        if key in have or row.blank:
            continue
        other = TypedRow(row.candle, "", f"{row.candle} {row.pairs} (theirs)") if key[0] in codes else row
        mine.append(other)
    return mine
