"""An order's whole story, in a handful of queries."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from operator import attrgetter

from django.db.models import Count, F, Prefetch, Q, QuerySet, Sum

from inventory.models import Candle, Lot, Record
from inventory.queries.stockroom import free_by_candle
from orders.cover import Cover, add, cover_of_line
from orders.domain.holding import open_pairs
from orders.domain.other_colour import SAME_SHAPE
from orders.models import Delivery, DeliveryLine, Order, OrderLine, SetAside
from orders.models.order import CONFIRMED
from orders.queries.book import Fill
from orders.queries.invoices import live_invoicings
from production.models import HungFor, PlannedFrame
from production.queries.dip_plan import planned_by_want
from production.queries.on_floor import promises_by_want
from production.queries.ready_by import Outlook, outlooks

MOST_COLOURS = 4  # offered beside a line
_shape = attrgetter(*SAME_SHAPE)


@dataclass
class LineStory:
    """One line as its order's page shows it: `promises` and `sent` name the lot of every pair that has one.

    `colours`: (candle, pairs free, pairs of them the line could take); `others`: unpacked pairs of this candle that
    are set aside for other orders; `free`: pairs of it that nobody holds; `hung`: the promises of frames, each with
    when it will be ready; `planned`: frames the dip plan will hang for it, each with the pairs meant for the line.
    """

    line: OrderLine
    cover: Cover
    promises: list[SetAside]
    sent: list[DeliveryLine]
    colours: list[tuple[Candle, int, int]]
    others: int
    free: int
    hung: list[tuple[HungFor, Outlook]]
    planned: list[tuple[PlannedFrame, int]]


def story_of_lines(order: Order) -> list[LineStory]:
    """The order's lines with their lots and frames, what is free of the candle, of other colours, what others hold.

    What cannot be there is not asked for: lots of what was never set aside or sent, frames where nothing is wanted.
    """
    lines = list(order.lines.select_related("candle__colour", "seconds_box"))
    held, gone = _held(order, lines), _gone(order, lines)
    wants = [line.want_id for line in lines if line.want_id]
    hung = promises_by_want(wants)
    hangs = {want: sum(promise.pairs for promise in promises) for want, promises in hung.items()}
    ready = outlooks({promise.frame_id: promise.frame for its in hung.values() for promise in its}.values())
    meant = planned_by_want(wants, hangs)
    covers = {
        line.pk: cover_of_line(
            line, hangs.get(line.want_id, 0), sum(pairs for _, pairs in meant.get(line.want_id, []))
        )
        for line in lines
    }
    lacking = [line for line in lines if order.status == CONFIRMED and covers[line.pk].missing]
    colours, free = _in_stock(order, lacking, covers)
    others = held_by_others(order, [line.candle_id for line in lacking])
    return [
        LineStory(
            line,
            covers[line.pk],
            held.get(line.pk, []),
            gone.get(line.pk, []),
            colours.get(line.pk, []),
            others.get(line.candle_id, 0),
            free.get(line.candle_id, 0),
            [(promise, ready[promise.frame_id]) for promise in hung.get(line.want_id, [])],
            meant.get(line.want_id, []),
        )
        for line in lines
    ]


def _held(order: Order, lines: list[OrderLine]) -> dict[int, list[SetAside]]:
    """By line: what is set aside for it, the oldest lot first."""
    if not any(line.set_aside for line in lines):
        return {}
    rows = SetAside.objects.filter(line__order=order).select_related("lot").order_by("lot__made_on", "lot")
    return _by_line(rows)


def _gone(order: Order, lines: list[OrderLine]) -> dict[int, list[DeliveryLine]]:
    """By line: what has left of it, delivery by delivery."""
    if not any(line.sent for line in lines):
        return {}
    rows = DeliveryLine.objects.filter(line__order=order, movement__isnull=False).select_related("lot").order_by("pk")
    return _by_line(rows)


def _by_line(rows: Iterable) -> dict[int, list]:
    found = defaultdict(list)
    for row in rows:
        found[row.line_id].append(row)
    return found


def _in_stock(
    order: Order, lacking: list[OrderLine], covers: Mapping[int, Cover]
) -> tuple[dict[int, list[tuple[Candle, int, int]]], dict[int, int]]:
    """By line other colours (as in `LineStory`), and by candle free pairs of what is lacking. Two queries."""
    if not lacking:
        return {}, {}
    # Another colour is no answer for pairs that hang already, nor where the candle itself lies free.
    short = [line for line in lacking if covers[line.pk].open]
    alike, own = candles_alike(order, short), {line.candle_id for line in lacking}
    free = free_by_candle(own | {candle.pk for candle in alike}, order.grade)
    short = [line for line in short if free[line.candle_id] < covers[line.pk].open]
    return other_colours(short, alike, free), {candle: free[candle] for candle in own}


def fill_of(order: Order, stories: list[LineStory]) -> Fill:
    """The order's own cover, added up from its lines."""
    lacking = [story for story in stories if story.cover.open and order.status == CONFIRMED]
    short_of = [story.line.candle.code for story in lacking]
    return Fill({order.pk: add(story.cover for story in stories)}, {order.pk: short_of})


def candles_alike(order: Order, lines: list[OrderLine]) -> list[Candle]:
    """Candles of the catalogue in the shape and wax of one of the lines; none where the shop takes no other colour."""
    if not lines or order.shop.other_colour == "no":
        return []
    shapes = {_shape(line.candle) for line in lines}
    # Asked for measure by measure, which also finds the length of one line with the base of another.
    measures = {f"{name}__in": set(of_all) for name, of_all in zip(SAME_SHAPE, zip(*shapes, strict=True), strict=True)}
    rows = Candle.objects.filter(**measures, active=True).select_related("colour")
    return [candle for candle in rows if _shape(candle) in shapes]


def other_colours(
    lines: list[OrderLine], alike: list[Candle], free: dict[int, int]
) -> dict[int, list[tuple[Candle, int, int]]]:
    """For each line: candles of its shape and wax in another colour with free pairs, the most free first."""
    by_shape = defaultdict(list)
    for candle in sorted(alike, key=lambda candle: (-free[candle.pk], candle.code)):
        if free[candle.pk]:
            by_shape[_shape(candle)].append(candle)
    found = {}
    for line in lines:
        others = [candle for candle in by_shape[_shape(line.candle)] if candle.pk != line.candle_id]
        found[line.pk] = [
            (candle, free[candle.pk], min(free[candle.pk], open_pairs(line))) for candle in others[:MOST_COLOURS]
        ]
    return found


def held_by_others(order: Order, candles: list[int]) -> dict[int, int]:
    """Unpacked pairs of each candle, in the order's grade, that are set aside for other orders."""
    if not candles:
        return {}
    rows = promises_elsewhere(order).filter(lot__candle__in=candles).order_by().values("lot__candle")
    return dict(rows.annotate(n=Sum(F("pairs") - F("packed"))).values_list("lot__candle", "n"))


def promises_elsewhere(order: Order) -> QuerySet[SetAside]:
    """Promises of other open orders in this order's grade with pairs that lie in no box, packed or of seconds."""
    return SetAside.objects.filter(
        # A lot with a promise holds its pairs: said again, so that the empty lots of years are not gone through.
        lot__on_hand__gt=0,
        lot__grade=order.grade,
        line__order__status=CONFIRMED,
        line__seconds_box=None,
        pairs__gt=F("packed"),
    ).exclude(line__order=order)


def takeable(line: OrderLine) -> QuerySet[SetAside]:
    """What could be taken over for the line: the order that can wait longest first."""
    rows = promises_elsewhere(line.order).filter(lot__candle=line.candle_id)
    return rows.select_related("lot", "line__order__shop").order_by(
        "-line__order__ship_by", "-line__order__shop__rank", "pk"
    )


def deliveries_of(order: Order) -> QuerySet[Delivery]:
    """The order's deliveries, each with `standing_on`: what says on which invoice it stands, if any."""
    invoicings = Prefetch("invoicings", live_invoicings().select_related("invoice__paper"), to_attr="standing_on")
    rows = order.deliveries.select_related("note").prefetch_related(invoicings)
    return rows.annotate(box_count=Count("boxes")).order_by("pk")


def records_of_order(order: Order, deliveries: Iterable[Delivery]) -> QuerySet[Record]:
    """Who did what to the order and its `deliveries`, the newest first."""
    keys = [delivery.pk for delivery in deliveries]
    return Record.objects.filter(
        Q(subject="order", subject_id=order.pk) | Q(subject="delivery", subject_id__in=keys)
    ).select_related("person")


def holders_of(lot: Lot) -> QuerySet[SetAside]:
    """The promises on a lot, the earliest ship-by date first."""
    return lot.promises.select_related("line__order__shop", "by").order_by("line__order__ship_by", "pk")


def left_from(lot: Lot) -> QuerySet[DeliveryLine]:
    """Where pairs of the lot have gone, or lie packed: delivery by delivery, the newest first."""
    rows = lot.delivery_lines.exclude(delivery__state="unpacked").select_related(
        "delivery__note", "delivery__order__shop"
    )
    return rows.order_by("-delivery__van_day", "-pk")
