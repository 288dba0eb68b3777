"""Papers: content and bytes fit their digests, number runs have no gap, the guards are in place."""

import hashlib
from collections.abc import Iterator

from django.apps import apps
from django.db.models import Q

from inventory.audit import missing_constraints, missing_guards
from orders.domain.papers import digest_as_it_stands
from orders.models import Box, Delivery, EInvoice, Order, Paper, PaperFile, Series
from orders.models.delivery import LEFT, PACKED, UNPACKED
from orders.models.paper import (
    CREDIT_NOTE,
    DELIVERY_NOTE,
    INVOICE,
    LATE_CHARGE,
    PACKING_SLIP,
    PRO_FORMA,
    REMINDER,
    SECONDS_LIST,
    STATEMENT,
)

GUARDED = (
    "orders_paper",
    "orders_paperfile",
    "orders_papercancellation",
    "orders_invoice",
    "orders_invoiceddelivery",
    "orders_invoiceline",
    "orders_invoicevat",
    "orders_depositdeducted",
    "orders_creditnote",
    "orders_creditnoteline",
    "orders_creditnotevat",
    "orders_proforma",
    "orders_payment",
    "orders_paymentpart",
    "orders_prompttaken",
    "orders_latecharge",
    "orders_latewaiver",
    "orders_return",
    "orders_returnline",
    "orders_einvoice",
    "orders_periodclose",
    "orders_keptfile",
    "orders_orderform",
    "orders_formback",
    "orders_caselabel",
)


def breaches() -> Iterator[str]:
    yield from _digests()
    yield from _runs()
    yield from _order_numbers()
    yield from _owners()
    yield from _guards()


def _digests():
    for paper in Paper.objects.order_by("pk").iterator(chunk_size=200):
        if digest_as_it_stands(paper.content) != paper.content_sha256:
            yield f"paper {paper.number}: its content does not fit its digest"
        if paper.content.get("number") != paper.number:
            yield f"paper {paper.number}: the number printed on it is {paper.content.get('number')}"
    for file in PaperFile.objects.select_related("paper").defer("paper__content").iterator(chunk_size=50):
        if hashlib.sha256(bytes(file.pdf)).hexdigest() != file.sha256:
            yield f"paper {file.paper.number}: its stored PDF does not fit its digest"
    for row in EInvoice.objects.select_related("paper").defer("paper__content").iterator(chunk_size=50):
        if hashlib.sha256(bytes(row.data)).hexdigest() != row.sha256:
            yield f"paper {row.paper.number}: its stored e-invoice ({row.syntax}) does not fit its digest"


def _runs():
    """Each kind's numbers run without a gap up to its series' next; a cancelled number is still there."""
    for kind in (DELIVERY_NOTE, INVOICE, CREDIT_NOTE, PRO_FORMA, STATEMENT, REMINDER, LATE_CHARGE, SECONDS_LIST):
        following = Series.objects.get(name=kind).next
        numbers = Paper.objects.filter(kind=kind).order_by("running").values_list("running", flat=True)
        expected = None
        for number in numbers.iterator():
            if number is None:
                yield f"a paper of kind {kind} has no running number"
                continue
            if expected is not None and number != expected:
                yield f"{kind} numbers: {_span(expected, number - 1)} missing"
            expected = number + 1
        if expected is not None and expected != following:
            yield f"{kind} numbers: last is {expected - 1}, but the series gives {following} next"


def _span(first: int, last: int) -> str:
    return str(first) if first == last else f"{first} to {last}"


def _order_numbers():
    following = Series.objects.get(name="order").next
    for order in Order.objects.filter(number__gte=following).order_by("number").iterator():
        yield f"order {order.number}: the series would give this number again (next is {following})"


def _owners():
    """A note has its delivery, a slip its box; a note that became void belongs to a delivery that was unpacked."""
    notes = Paper.objects.filter(kind=DELIVERY_NOTE, delivery=None)
    for paper in notes.order_by("pk").iterator():
        yield f"note {paper.number} belongs to no delivery"
    for paper in Paper.objects.filter(kind=PACKING_SLIP, box=None).order_by("pk").iterator():
        yield f"slip {paper.number} belongs to no box"
    for paper in Paper.objects.filter(kind=INVOICE, invoice=None).order_by("pk").iterator():
        yield f"invoice {paper.number} has no entry in the ledger"
    for paper in Paper.objects.filter(kind=INVOICE, cancellation__isnull=False).order_by("pk").iterator():
        yield f"invoice {paper.number} was cancelled; an invoice is put right by a credit note only"
    for paper in Paper.objects.filter(kind=CREDIT_NOTE, credit_note=None).order_by("pk").iterator():
        yield f"credit note {paper.number} has no entry in the ledger"
    for paper in Paper.objects.filter(kind=PRO_FORMA, pro_forma=None).order_by("pk").iterator():
        yield f"pro forma {paper.number} belongs to no order"
    for paper in Paper.objects.filter(kind=LATE_CHARGE, late_charge=None).order_by("pk").iterator():
        yield f"late charge {paper.number} has no entry in the ledger"
    live = Q(delivery__state__in=(PACKED, LEFT), cancellation__isnull=False)
    dead = Q(delivery__state=UNPACKED, cancellation=None)
    for paper in Paper.objects.filter(kind=DELIVERY_NOTE).filter(live).order_by("pk").iterator():
        yield f"note {paper.number} is cancelled, but its delivery stands"
    for paper in Paper.objects.filter(kind=DELIVERY_NOTE).filter(dead).order_by("pk").iterator():
        yield f"note {paper.number} still stands, but its delivery was unpacked"
    packed = Delivery.objects.filter(state__in=(PACKED, LEFT))
    for box in Box.objects.filter(delivery__in=packed, slip=None).select_related("delivery__note").iterator():
        yield f"delivery {box.delivery}: box {box.number} has no packing slip"


def _guards():
    yield from missing_guards(GUARDED)
    yield from missing_constraints(apps.get_app_config("orders").get_models())
