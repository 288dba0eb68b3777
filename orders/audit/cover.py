"""Cover with frames in it: it adds up on every line, and what hangs for a line is promised once and no more.

What the dip plan means for a line is no promise, and a plan may be older than the book; but every planned pair that
the book shows names its frame.
"""

from collections.abc import Iterator

from django.db.models import F, Q

from orders.audit.promises import sum_of
from orders.models import OrderLine
from orders.models.order import CONFIRMED
from orders.queries.book import PLANNED
from production.models import Frame, HungFor, Want
from production.models.frame import GRADED, SCRAPPED
from production.queries.dip_plan import planned_by_want
from production.queries.on_floor import LIVING


def breaches() -> Iterator[str]:
    yield from _lines_that_do_not_add_up()
    yield from _met_and_open()
    yield from _planned_without_frame()
    yield from _hung_for_nobody()
    yield from _hung_counters()


def _hanging():
    return sum_of(HungFor.objects.filter(frame__state__in=LIVING), "pairs", "want")


def _lines_that_do_not_add_up():
    """No line has more sent, set aside and on the floor than it orders."""
    wants = Want.objects.annotate(hanging=_hanging()).filter(order_line__isnull=False)
    rows = wants.filter(hanging__gt=F("order_line__pairs") - F("order_line__sent") - F("order_line__set_aside"))
    for want in rows.select_related("order_line__order").order_by("pk").iterator():
        line = want.order_line
        yield (
            f"order {line.order.number} line {line.position}: {line.sent} sent, {line.set_aside} set aside and "
            f"{want.hanging} on the floor are more than the {line.pairs} pairs ordered"
        )


def _met_and_open():
    """A line that stock covers, or an order no longer confirmed, wants nothing; so nothing hangs for it."""
    lines = OrderLine.objects.filter(want__isnull=False).select_related("order")
    met = Q(pairs__lte=F("sent") + F("set_aside")) | ~Q(order__status=CONFIRMED)
    for line in lines.filter(met).order_by("pk").iterator():
        yield f"order {line.order.number} line {line.position}: its want is met and still stands on the dip list"
    for want in Want.objects.annotate(hanging=_hanging()).filter(hanging__gt=F("pairs")).order_by("pk").iterator():
        yield (
            f"want {want.pk} ({want.pairs} pairs for {want.for_whom}): {want.hanging} hang for it, "
            "more than are wanted"
        )


def _planned_without_frame():
    """The book's figure, made in the database, is the sum of the frames an order's page names."""
    lines = OrderLine.objects.filter(want__planned__isnull=False, order__status=CONFIRMED).distinct()
    rows = list(lines.annotate(meant=PLANNED).select_related("order").order_by("pk"))
    named = planned_by_want(line.want_id for line in rows)
    for line in rows:
        pairs = sum(pairs for _, pairs in named.get(line.want_id, []))
        if pairs != line.meant:
            yield (
                f"order {line.order.number} line {line.position}: {line.meant} pairs are shown as planned, its "
                f"planned frames give {pairs}"
            )


def _hung_for_nobody():
    """Nothing is promised of a frame that is gone, nor another candle than is wanted."""
    promises = HungFor.objects.select_related("frame__candle", "want__candle").order_by("pk")
    for promise in promises.filter(frame__state__in=(GRADED, SCRAPPED)).iterator():
        yield (
            f"frame {promise.frame} is {promise.frame.state}, yet {promise.pairs} pairs of it are hung for want "
            f"{promise.want_id}"
        )
    for promise in promises.exclude(frame__candle=F("want__candle")).iterator():
        yield (
            f"frame {promise.frame} carries {promise.frame.candle.code}, want {promise.want_id} is for "
            f"{promise.want.candle.code}"
        )


def _hung_counters():
    """A frame's counter is the sum of its promises, and no more than hangs on it."""
    frames = Frame.objects.annotate(promised=sum_of(HungFor.objects, "pairs", "frame"))
    for frame in frames.exclude(hung_for=F("promised")).order_by("pk").iterator():
        yield f"frame {frame}: hung for says {frame.hung_for} pairs, its promises add up to {frame.promised}"
    for frame in frames.filter(promised__gt=F("hung")).order_by("pk").iterator():
        yield f"frame {frame}: hung for {frame.promised} pairs, but {frame.hung} hang on it"
