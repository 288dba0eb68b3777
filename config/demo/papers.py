"""Papers of the past year: notes, slips and invoices as frozen content. Their PDFs are made when first opened."""

import random
from collections import defaultdict
from collections.abc import Callable
from datetime import date, timedelta

from config.demo.lots import BATCH, at
from inventory.domain.rows import update_rows
from inventory.words import day as in_words
from orders.documents.delivery_note import note_content
from orders.documents.invoice import invoice_content
from orders.documents.packing_slip import slip_content
from orders.domain.boxing import boxes_of, lines_of, propose_boxes
from orders.domain.invoice_draft import draft_invoice
from orders.domain.invoicing import ledger_rows
from orders.domain.papers import digest_of
from orders.models import Delivery, Invoice, OrderLine, Paper, Series
from orders.models.delivery import LEFT
from orders.models.paper import DELIVERY_NOTE, INVOICE, PACKING_SLIP


def write_notes(deliveries: list[Delivery], person, tell: Callable[[int], None]) -> None:
    """Boxes, notes and slips of deliveries that left, numbered in their order; `tell` hears how many are done."""
    series = Series.objects.get(name=DELIVERY_NOTE)
    notes, boxes, slips = [], [], []
    to_come = _to_come(deliveries)
    for done, delivery in enumerate(deliveries):
        lines = lines_of(delivery)
        propose_boxes(delivery, lines)
        packed = boxes_of(delivery)
        content = note_content(
            delivery,
            lines=lines,
            boxes=packed,
            order_lines=[line.line for line in lines],
            to_come=to_come[delivery.pk],
        )
        stamp = {"issued_on": in_words(delivery.left_on), "issued_iso": delivery.left_on.isoformat()}
        number = f"{series.prefix}{series.next + done}"
        note = _paper(
            DELIVERY_NOTE, number, delivery, content={**content, **stamp}, person=person, running=series.next + done
        )
        delivery.note, delivery.state = note, LEFT
        notes.append(note)
        for box in packed:
            content = slip_content(box, note=note.content, of=len(packed))
            box.slip = _paper(PACKING_SLIP, f"{number}/{box.number}", delivery, content=content, person=person)
            slips.append(box.slip)
        boxes += packed
        tell(done + 1)
    Paper.objects.bulk_create([*notes, *slips], batch_size=BATCH)
    update_rows(deliveries, ["note", "state"])
    update_rows(boxes, ["slip"])
    series.next += len(deliveries)
    series.save()


def _paper(kind: str, number: str, delivery: Delivery, *, content: dict, person, running: int | None = None) -> Paper:
    content = {**content, "number": number}
    return Paper(
        kind=kind, number=number, running=running, shop=delivery.order.shop, content=content,
        content_sha256=digest_of(content), issued_on=delivery.left_on, issued_at=at(delivery.left_on, 9),
        issued_by=person,
    )  # fmt: skip


def _to_come(deliveries: list[Delivery]) -> dict[int, dict[int, int]]:
    """For each delivery, pairs of its order's lines that only a later one takes (0 for all others)."""
    lines = defaultdict(dict)
    for line in OrderLine.objects.filter(order__in={delivery.order_id for delivery in deliveries}):
        lines[line.order_id][line.pk] = line.pairs
    found = {}
    for delivery in deliveries:
        left = lines[delivery.order_id]
        for line, pairs in delivery.lines.values_list("line", "pairs"):
            left[line] -= pairs
        found[delivery.pk] = dict(left)
    return found


def write_invoices(rng: random.Random, deliveries: list[Delivery], today: date, person) -> None:
    """One invoice an order, a day or three after its last delivery; the newest deliveries still wait for theirs."""
    by_order = defaultdict(list)
    for delivery in deliveries:
        by_order[delivery.order_id].append(delivery)
    due = sorted(
        (max(d.left_on for d in its) + timedelta(days=rng.choice((1, 1, 2, 3))), order)
        for order, its in by_order.items()
    )
    series = Series.objects.get(name=INVOICE)
    papers, ledger = [], []
    for issued_on, order in due:
        if issued_on >= today:
            continue
        its = by_order[order]
        draft = draft_invoice(shop=its[0].order.shop, delivery_ids=[d.pk for d in its], issued_on=issued_on)
        number = f"{series.prefix}{series.next}"
        content = {**invoice_content(draft), "number": number}
        paper = Paper(
            kind=INVOICE, number=number, running=series.next, shop=draft.shop, content=content,
            content_sha256=digest_of(content), issued_on=issued_on, issued_at=at(issued_on, 14), issued_by=person,
        )  # fmt: skip
        papers.append(paper)
        ledger.append(ledger_rows(draft, paper))
        series.next += 1
    Paper.objects.bulk_create(papers, batch_size=BATCH)
    series.save()
    _write_ledger(ledger)


def _write_ledger(ledger: list[tuple[Invoice, dict[type, list]]]) -> None:
    Invoice.objects.bulk_create([invoice for invoice, _ in ledger], batch_size=BATCH)
    for kind in ledger[0][1] if ledger else ():
        rows = [row for _, its in ledger for row in its[kind]]
        kind.objects.bulk_create(rows, batch_size=BATCH)
