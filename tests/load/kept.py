"""What the book acknowledged to a visitor, and whether it is still there."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from django.db.models import Max, Min

from inventory.audit import breaches as inventory_breaches
from inventory.models import Lot, Movement, Record, SheetFile
from orders.audit import breaches as order_breaches
from orders.models import Delivery, Invoice, Order, Payment, Shop
from orders.models.delivery import LEFT
from orders.models.order import CANCELLED, DONE, DRAFT
from production.audit import breaches as floor_breaches
from production.models import DipPlan, Grading
from tests.recount import recount


@dataclass(frozen=True)
class Kept:
    """One acknowledged change: its kind (a function of KINDS below), the row's key, and what must be found there."""

    kind: str
    key: int
    facts: dict = field(default_factory=dict)


def verify(kept: Iterable[Kept], *, all_answered: bool = False) -> list[str]:
    """A complaint for each acknowledged change that the database lacks or holds otherwise.

    `all_answered`: nobody's answer was lost on its way, so what is there beyond the acknowledged is wrong, too.
    """
    kept, complaints = list(kept), []
    for one in kept:
        if one.kind in KINDS and (complaint := KINDS[one.kind](one.key, **one.facts)):
            complaints.append(f"{one.kind} {one.key} {one.facts}: {complaint}")
    return [*complaints, *_edits(kept, all_answered), *_records(kept)]


def unsound() -> list[str]:
    """What does not hold of the whole book: the audit's breaches, sums counted anew, gaps in the orders' numbers."""
    found = [*inventory_breaches(), *floor_breaches(), *order_breaches(), *_gaps()]
    try:
        recount()
    except AssertionError as wrong:
        found.append(str(wrong))
    return found


def _gaps() -> Iterator[str]:
    ends = Order.objects.aggregate(first=Min("number"), last=Max("number"))
    if ends["first"] is None:
        return
    there = set(Order.objects.values_list("number", flat=True))
    for number in range(ends["first"], ends["last"] + 1):
        if number not in there:
            yield f"order {number} is missing"


def _once(rows, what: str) -> str:
    """A form sent once has one trace; two would be the work done twice."""
    found = rows.count()
    return "" if found == 1 else f"{found} {what} of it"


def _taken(number: int, *, lines: list) -> str:
    order = Order.objects.filter(number=number).first()
    if order is None or order.status == DRAFT:
        return "not taken" if order else "no such order"
    if sorted(order.lines.values_list("candle__code", flat=True)) != sorted(code for code, _ in lines):
        return "other candles"
    pairs = sum(pairs for _, pairs in lines)
    return _once(_told("order", order.pk).filter(what__startswith=f"Confirmed: {pairs:,} pairs"), "confirmations")


def _cancelled(number: int, *, word: str) -> str:
    order = Order.objects.get(number=number)
    if order.status not in (CANCELLED, DONE):
        return f"it is {order.status}"
    return _once(_told("order", order.pk).filter(what__endswith=word), "records")


def _noted(number: int, *, word: str) -> str:
    order = Order.objects.get(number=number)
    return _once(_told("order", order.pk).filter(what__contains=f"notes {word}, was"), "records")


def _boxed(pk: int) -> str:
    note = Delivery.objects.values_list("note", flat=True).get(pk=pk)
    return "" if note else "it has no note"


def _left(pk: int) -> str:
    state = Delivery.objects.values_list("state", flat=True).get(pk=pk)
    return "" if state == LEFT else f"it is {state}"


def _unpacked(pk: int, *, word: str) -> str:
    return _once(_told("delivery", pk).filter(what__endswith=word), "records")


def _invoiced(pk: int, *, deliveries: list[int]) -> str:
    invoice = Invoice.objects.filter(pk=pk).first()
    if invoice is None:
        return "no such invoice"
    return "" if {row.delivery_id for row in invoice.deliveries.all()} == set(deliveries) else "other deliveries"


def _paid(pk: int, *, word: str) -> str:
    return _once(Payment.objects.filter(shop=pk, reference=word), "payments")


def _graded(pk: int, *, firsts: int) -> str:
    found = list(Grading.objects.filter(frame=pk).values_list("firsts", flat=True))
    return "" if found == [firsts] else f"its firsts are {found}"


def _counted(pk: int, *, word: str, pairs: int) -> str:
    """Pairs counted in, of whichever lot: the candle's key is what is known."""
    moved = list(Movement.objects.filter(lot__candle=pk, reason=word).values_list("pairs", flat=True))
    return "" if moved == [pairs] else f"it moved {moved}"


def _moved(pk: int, *, word: str, pairs: int) -> str:
    moved = list(Movement.objects.filter(lot=pk, reason=word).values_list("pairs", flat=True))
    return "" if moved == [pairs] else f"it moved {moved}"


def _loaded(pk: int, *, word: str, pairs: list[int]) -> str:
    if not SheetFile.objects.filter(pk=pk, loaded_at__isnull=False).exists():
        return "not loaded"
    lots = Lot.objects.filter(movements__kind="counted in", movements__reason=word)
    there = sorted(lots.values_list("movements__pairs", flat=True))
    return "" if there == sorted(pairs) else f"lots of {there}"


def _planned(pk: int) -> str:
    return _once(DipPlan.objects.filter(search=pk), "plans")


KINDS = {
    "taken": _taken,
    "cancelled": _cancelled,
    "noted": _noted,
    "boxed": _boxed,
    "left": _left,
    "unpacked": _unpacked,
    "invoiced": _invoiced,
    "paid": _paid,
    "graded": _graded,
    "counted": _counted,
    "moved": _moved,
    "loaded": _loaded,
    "planned": _planned,
}


def _edits(kept: list[Kept], all_answered: bool) -> Iterator[str]:
    """ "edit": somebody read a number in a shop's notes and wrote the next. Two who wrote over each other make it
    smaller than their count.
    """
    for pk, edits in Counter(one.key for one in kept if one.kind == "edit").items():
        stands = int(Shop.objects.values_list("packer_notes", flat=True).get(pk=pk) or 0)
        if stands < edits or (all_answered and stands > edits):
            yield f"shop {pk}: {edits} edits were acknowledged, {stands} stand"


def _records(kept: list[Kept]) -> Iterator[str]:
    """ "set aside": as many records of so many pairs as there were answers that said so."""
    said = Counter((one.key, one.facts["pairs"]) for one in kept if one.kind == "set aside")
    for (number, pairs), times in said.items():
        order = Order.objects.get(number=number)
        # The comma or colon behind it: 1 pair is not 12.
        there = _told("order", order.pk).filter(what__regex=rf"^Set aside {pairs} pairs[,:]").count()
        if there < times:
            yield f"order {number}: {pairs} pairs were said to be set aside {times} times, {there} on record"


def _told(subject: str, key: int):
    return Record.objects.filter(subject=subject, subject_id=key)
