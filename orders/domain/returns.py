"""What came back of a delivery: into stock by grade or written off, credited, and sent again if wished, in one go.

Locks: the order and its lines, the delivery, the invoice, then the lots by key.
"""

import uuid
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Sum
from django.utils import timezone

from inventory.domain.lot_codes import lock_codes
from inventory.domain.lots import lock_lots, move_pairs, regrade_pairs
from inventory.domain.records import record
from inventory.models import FIRSTS, SECONDS
from inventory.words import day, in_pairs
from orders.domain.boxing import lock_delivery
from orders.domain.credit_draft import Asked, Take
from orders.domain.crediting import issue_credit
from orders.domain.sending_again import order_again
from orders.models import CreditNote, Delivery, DeliveryLine, Invoice, Return, ReturnLine
from orders.models.credit import BROKEN, RETURNED
from orders.models.delivery import LEFT
from orders.money import NOUGHT
from orders.queries.credits import left_of
from orders.queries.invoices import live_invoicings

LONGEST = {"reason": 200, "fault": 40}


@dataclass(frozen=True)
class Back:
    """Pairs of one delivery line (its key) that came back: fit for sale as firsts or seconds, or broken."""

    line: int
    firsts: int = 0
    seconds: int = 0
    broken: int = 0
    fault: str = ""

    @property
    def pairs(self) -> int:
        return self.firsts + self.seconds + self.broken


@transaction.atomic
def take_back(
    *,
    delivery: Delivery,
    backs: Sequence[Back],
    reason: str,
    came_on: date,
    by,
    submission: uuid.UUID,
    carriage: Decimal = NOUGHT,
    again: bool = False,
) -> Return:
    """Take pairs of a delivery back. `carriage`: how much of it (net) is credited too; `again`: a new order sends the
    same pairs once more, at the same price and carriage free.

    The same `submission` sent again changes nothing. ValidationError (by field) with the reason.
    """
    delivery, _ = lock_delivery(delivery)
    if done := Return.objects.filter(submission=submission).first():
        return done
    backs, reason = [back for back in backs if back.pairs], reason.strip()
    _check(delivery, backs, reason, came_on)
    lines = _lines_of(delivery, backs)
    invoice, takes = _takes(delivery, backs, lines)
    today, kept = timezone.localdate(), any(back.firsts or back.seconds for back in backs)
    why = RETURNED if kept else BROKEN
    asked = Asked(why=why, reason=reason, set_off_on=today, takes=takes, carriage=carriage)
    note = issue_credit(invoice=invoice, asked=asked, issued_on=today, by=by)
    _to_stock(backs, lines, note, reason, by)
    order = order_again(delivery, _pairs_by_line(backs, lines), submission=submission, by=by) if again else None
    made = Return.objects.create(
        delivery=delivery, reason=reason, came_on=came_on, note=note, again=order, submission=submission,
        at=timezone.now(), by=by,
    )  # fmt: skip
    ReturnLine.objects.bulk_create(_rows(made, backs, lines))
    _put_down(made, sum(back.pairs for back in backs), by)
    return made


def _rows(made: Return, backs: list[Back], lines: dict[int, DeliveryLine]) -> list[ReturnLine]:
    return [
        ReturnLine(
            back=made,
            delivery_line=lines[back.line],
            firsts=back.firsts,
            seconds=back.seconds,
            broken=back.broken,
            fault=back.fault.strip() if back.seconds else "",
        )
        for back in backs
    ]


def came_back_before(delivery: Delivery) -> Counter:
    """Pairs of each delivery line (by key) that came back in earlier returns."""
    rows = ReturnLine.objects.filter(delivery_line__delivery=delivery).values("delivery_line")
    sums = rows.annotate(pairs=Sum("firsts") + Sum("seconds") + Sum("broken"))
    return Counter({row["delivery_line"]: row["pairs"] for row in sums})


def invoice_of(delivery: Delivery) -> Invoice | None:
    """The invoice the delivery stands on."""
    row = live_invoicings().filter(delivery=delivery).select_related("invoice__paper", "invoice__shop").first()
    return row.invoice if row else None


def _check(delivery: Delivery, backs: list[Back], reason: str, came_on: date) -> None:
    if delivery.state != LEFT:
        raise ValidationError(f"{delivery} has not left: nothing of it can come back.")
    if not backs:
        raise ValidationError("Say how many pairs came back.")
    if not reason or len(reason) > LONGEST["reason"]:
        raise ValidationError({"reason": f"Say why, in at most {LONGEST['reason']} characters."})
    if came_on > timezone.localdate():
        raise ValidationError({"came_on": "That day has not come yet."})
    if came_on < delivery.left_on:
        raise ValidationError({"came_on": f"It left on {day(delivery.left_on)}: that day or later."})


def _lines_of(delivery: Delivery, backs: list[Back]) -> dict[int, DeliveryLine]:
    """The delivery's lines by key; ValidationError at the field where too many came back, or of another grade."""
    lines = {line.pk: line for line in delivery.lines.select_related("lot", "line__order", "line__candle")}
    before = came_back_before(delivery)
    for back in backs:
        line = lines.get(back.line)
        if line is None:
            raise ValidationError("One of these lines is not of this delivery.")
        if min(back.firsts, back.seconds, back.broken) < 0 or back.pairs > line.pairs - before[line.pk]:
            most = in_pairs(line.pairs - before[line.pk])
            raise ValidationError({f"firsts_{line.pk}": f"Of {line.lot.code} at most {most} can come back."})
        if back.firsts and line.lot.grade == SECONDS:
            raise ValidationError({f"firsts_{line.pk}": f"{line.lot.code} are seconds: they come back as seconds."})
        fault = back.fault.strip()
        if back.seconds and line.lot.grade == FIRSTS and not 0 < len(fault) <= LONGEST["fault"]:
            raise ValidationError({f"fault_{line.pk}": "Say what is wrong with them, in at most 40 characters."})
    return lines


def _pairs_by_line(backs: list[Back], lines: dict[int, DeliveryLine]) -> dict:
    """Pairs that came back by order line."""
    found: dict = {}
    for back in backs:
        line = lines[back.line].line
        found[line] = found.get(line, 0) + back.pairs
    return found


def _takes(delivery: Delivery, backs: list[Back], lines: dict[int, DeliveryLine]) -> tuple[Invoice, tuple[Take, ...]]:
    """What of which invoice is credited for them; ValidationError where it is not invoiced or credited already."""
    invoice = invoice_of(delivery)
    if invoice is None:
        raise ValidationError(f"{delivery} is not invoiced yet: invoice it, then take it back and credit it.")
    # Whoever credits an invoice locks its orders first, and the order of this delivery is locked already.
    left, takes = left_of(invoice), []
    for order_line, pairs in _pairs_by_line(backs, lines).items():
        owed = pairs
        # Two deliveries of an order may share an invoice, and then have a line each.
        for one in left.lines.values():
            if one.line.order_line_id == order_line.pk and owed and one.pairs:
                takes.append(Take(one.line.pk, min(owed, one.pairs)))
                owed -= takes[-1].pairs
        if owed:
            raise ValidationError(f"{in_pairs(owed)} of {order_line.candle} are credited already on {invoice}.")
    return invoice, tuple(takes)


def _to_stock(backs: list[Back], lines: dict[int, DeliveryLine], note: CreditNote, reason: str, by) -> None:
    """Everything comes back to its lot; what is worse than the lot's grade leaves it again."""
    number = note.paper.number
    # What became seconds opens lots.
    lock_codes()
    lots = lock_lots(lines[back.line].lot_id for back in backs)
    for back in sorted(backs, key=lambda back: lines[back.line].lot_id):
        lot = lots[lines[back.line].lot_id]
        move_pairs(lot=lot, kind="returned", pairs=back.pairs, reason=reason, reference=number, by=by)
        if back.broken:
            move_pairs(lot=lot, kind="damaged", pairs=-back.broken, reason=reason, reference=number, by=by)
        if back.seconds and lot.grade == FIRSTS:
            regrade_pairs(lot=lot, pairs=back.seconds, fault=back.fault, reason=f"{number}: {reason}"[:200], by=by)
        record(subject="lot", subject_id=lot.pk, what=f"Came back: {in_pairs(back.pairs)}. {number}", by=by)


def _put_down(made: Return, pairs: int, by) -> None:
    again = f"; sent again with order {made.again.number}" if made.again else ""
    what = f"{in_pairs(pairs)} of {made.delivery} came back, credited on {made.note}{again}. {made.reason}"
    record(subject="delivery", subject_id=made.delivery_id, what=what, by=by)
    record(subject="order", subject_id=made.delivery.order_id, what=what, by=by)
