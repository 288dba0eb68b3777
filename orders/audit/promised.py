"""Days promised, and the papers that state them: each acknowledgement states a day that was promised, in its turn."""

from collections import Counter
from collections.abc import Iterator

from inventory.audit import missing_guards
from orders.models import Order, Paper, PromisedDate
from orders.models.order import DRAFT
from orders.models.paper import ACKNOWLEDGEMENT

GUARDED = ("orders_promiseddate",)


def breaches() -> Iterator[str]:
    yield from _acknowledgements()
    for row in PromisedDate.objects.filter(order__status=DRAFT).select_related("order").order_by("pk").iterator():
        yield f"order {row.order.number} is a draft, yet promised by {row.day}"
    yield from missing_guards(GUARDED)


def _acknowledgements() -> Iterator[str]:
    orders = {str(number): pk for pk, number in Order.objects.values_list("pk", "number")}
    days = {(row[0], row[1].isoformat()) for row in PromisedDate.objects.values_list("order", "day")}
    counted: Counter[str] = Counter()
    for paper in Paper.objects.filter(kind=ACKNOWLEDGEMENT).order_by("pk").iterator(chunk_size=200):
        order = paper.content.get("order")
        counted[order] += 1
        if paper.number != f"OA-{order}/{counted[order]}":
            yield f"acknowledgement {paper.number}: should be OA-{order}/{counted[order]}"
        day = paper.content.get("promised_iso")
        if (orders.get(order), day) not in days:
            yield f"acknowledgement {paper.number}: nobody promised order {order} by {day}"
