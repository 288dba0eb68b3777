"""The order book as its page reads it: few queries, whatever its length.

A line is open here where neither stock nor a frame fills it, be it on the floor or planned; `MISSING` counts all that
is not set aside or sent.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, F, IntegerField, OuterRef, Q, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce, Greatest, Least

from orders.cover import Cover, cover_of
from orders.models import Delivery, Order, OrderLine, SetAside
from orders.models.delivery import LEFT, PACKED, PACKING
from orders.models.order import CONFIRMED
from orders.queries.promises import promised_days
from orders.standing import Due, Standing
from production.queries.on_floor import living_promises
from production.queries.planned import standing_meant_for

SHOWN = (
    "number", "grade", "status", "reference", "placed_on", "ship_by", "complete_only",
    "shop__name", "shop__town", "shop__on_stop",
)  # fmt: skip
AT_ONCE = 500  # orders asked for in one query; a database has a limit of parameters
MISSING = F("pairs") - F("sent") - F("set_aside")


def _sum_of(rows: QuerySet, field: str = "pairs") -> Coalesce:
    """The sum over the rows as a figure in a query."""
    # Grouped by nothing: the subquery's one row is the sum.
    sums = rows.order_by().annotate(one=Value(1)).values("one").annotate(n=Sum(field)).values("n")
    return Coalesce(Subquery(sums, output_field=IntegerField()), 0)


def _lines(**conditions) -> QuerySet:
    return OrderLine.objects.filter(order=OuterRef("pk"), **conditions)


ON_FLOOR = _sum_of(living_promises().filter(want__order_line=OuterRef("pk")))
OF_ORDER = _sum_of(living_promises().filter(want__order_line__order=OuterRef("pk")))
# A plan is older than what was hung and set aside since: it fills no more of a line than these leave.
UNHUNG = Greatest(MISSING - ON_FLOOR, 0)
PLANNED = Least(_sum_of(standing_meant_for().filter(want__order_line=OuterRef("pk"))), UNHUNG)
LACKING = _lines(pairs__gt=F("sent") + F("set_aside"))
PLANNED_OF_ORDER = _sum_of(LACKING.annotate(planned=PLANNED), "planned")

HAS_MISSING = Exists(LACKING)
HAS_UNHUNG = Exists(LACKING.filter(Q(want=None) | Q(pairs__gt=F("sent") + F("set_aside") + ON_FLOOR)))
HAS_OPEN = Exists(LACKING.filter(Q(want=None) | Q(pairs__gt=F("sent") + F("set_aside") + ON_FLOOR + PLANNED)))
HAS_PLANNED = Exists(standing_meant_for().filter(want__order_line__order=OuterRef("pk")))
HAS_HANGING = Exists(living_promises().filter(want__order_line__order=OuterRef("pk")))
HAS_SOMETHING = Exists(_lines(set_aside__gt=0)) | Exists(_lines(sent__gt=0))
HAS_UNPACKED = Exists(SetAside.objects.filter(line__order=OuterRef("pk"), pairs__gt=F("packed")))


def orders_listed() -> QuerySet:
    """Every order with its shop, as far as lists show them. Figures come a page at a time, from `entries`."""
    return Order.objects.select_related("shop").only(*SHOWN)


def covered(orders: QuerySet) -> QuerySet:
    """Every pair is sent or set aside."""
    return orders.filter(~HAS_MISSING)


def on_floor(orders: QuerySet) -> QuerySet:
    """All that is missing hangs: the order waits on the floor."""
    return orders.filter(HAS_MISSING, ~HAS_UNHUNG, status=CONFIRMED)


def planned(orders: QuerySet) -> QuerySet:
    """Nothing is open, but the dip plan has still to hang frames for it."""
    return orders.filter(HAS_UNHUNG, ~HAS_OPEN, status=CONFIRMED)


def short(orders: QuerySet) -> QuerySet:
    return orders.filter(HAS_OPEN)


def bare(orders: QuerySet) -> QuerySet:
    """Orders with open pairs and nothing planned, on the floor, set aside or sent."""
    return orders.filter(HAS_OPEN).exclude(HAS_SOMETHING | HAS_HANGING | HAS_PLANNED)


def ready(orders: QuerySet) -> QuerySet:
    """Confirmed, nothing missing, and pairs set aside that are in no box yet."""
    return orders.filter(~HAS_MISSING, HAS_UNPACKED, status=CONFIRMED)


def with_sums(orders: QuerySet) -> QuerySet:
    """The orders with `ordered` and `still_open` pairs, for sorting by them."""

    def total(expression):
        sums = OrderLine.objects.filter(order=OuterRef("pk")).order_by().values("order").annotate(n=Sum(expression))
        return Coalesce(Subquery(sums.values("n")), 0)

    return orders.annotate(ordered=total("pairs"), still_open=total(MISSING) - OF_ORDER - PLANNED_OF_ORDER)


@dataclass
class Entry:
    """What a row of the book shows beside the order itself."""

    cover: Cover
    standing: Standing
    promised: date | None = None


@dataclass(frozen=True)
class Fill:
    """By order: its cover, and the codes of candles of which pairs are open though nothing fills them."""

    covers: dict[int, Cover]
    short_of: dict[int, list[str]]


@dataclass(frozen=True)
class OpenBook(Fill):
    """The same of every confirmed order, and each as the first sentence counts it."""

    dues: list[Due]


def entries(orders: Iterable[Order], known: Fill | None = None) -> dict[int, Entry]:
    """Cover and standing of the orders (their shops fetched with them), by key.

    Six queries for AT_ONCE orders; two where the fill of all of them is `known` already.
    """
    orders = list(orders)
    found = {}
    for start in range(0, len(orders), AT_ONCE):
        found.update(_entries(orders[start : start + AT_ONCE], known))
    return found


def _entries(orders: list[Order], known: Fill | None) -> dict[int, Entry]:
    keys = [order.pk for order in orders]
    fill = known if known and known.covers.keys() >= set(keys) else _fill_of(keys)
    boxes, promised = _boxes(keys), promised_days(keys)
    return {
        order.pk: Entry(
            cover := fill.covers.get(order.pk, Cover()),
            Standing(
                order.status,
                cover,
                complete_only=order.complete_only,
                on_stop=order.shop.on_stop,
                short_of=tuple(fill.short_of.get(order.pk, ())),
                **boxes.get(order.pk, {}),
            ),
            promised.get(order.pk),
        )
        for order in orders
    }


def _fill_of(keys: list[int]) -> Fill:
    """Four queries."""
    lines = OrderLine.objects.filter(order__in=keys)
    sums = lines.order_by().values("order").annotate(p=Sum("pairs"), s=Sum("sent"), a=Sum("set_aside"))
    hanging, meant, short_of = _lacking(lines)
    rows = sums.values_list("order", "p", "s", "a")
    return Fill({key: cover_of(p, s, a, hanging[key], meant[key]) for key, p, s, a in rows}, short_of)


def _lacking(lines: QuerySet[OrderLine]) -> tuple[dict[int, int], dict[int, int], dict[int, list[str]]]:
    """By order: pairs on the floor, pairs planned, and the codes of candles of which pairs are open all the same.

    Three queries. What hangs and what is planned is read whole: the floor is small, whatever the book's length.
    """
    hanging, planned, short_of = defaultdict(int), defaultdict(int), defaultdict(list)
    hung, meant = _by_line(living_promises()), _by_line(standing_meant_for())
    lacking = lines.filter(order__status=CONFIRMED, pairs__gt=F("sent") + F("set_aside")).order_by("order", "position")
    for order, key, code, missing in lacking.values_list("order", "pk", "candle__code", MISSING):
        hangs = hung.get(key, 0)
        # A plan is older than what was hung and set aside since: it fills no more of a line than these leave.
        to_hang = min(meant.get(key, 0), max(missing - hangs, 0))
        hanging[order] += hangs
        planned[order] += to_hang
        if missing > hangs + to_hang:
            short_of[order].append(code)
    return hanging, planned, short_of


def _by_line(rows: QuerySet) -> dict[int, int]:
    """Pairs by order line, of what hangs or is planned for wants."""
    return dict(rows.values_list("want__order_line").annotate(pairs_in_all=Sum("pairs")))


def _boxes(keys: list[int]) -> dict[int, dict]:
    """How far the deliveries of each order are; the latest day of each state."""
    rows = Delivery.objects.filter(order__in=keys, state__in=(PACKING, PACKED, LEFT)).order_by("van_day", "pk")
    found: dict[int, dict] = {}
    for key, state, van_day, left_on in rows.values_list("order", "state", "van_day", "left_on"):
        facts = found.setdefault(key, {})
        if state == PACKING:
            facts["being_packed"] = True
        elif state == PACKED:
            facts["packed_for"] = van_day
        else:
            facts["left_on"] = max(left_on, facts.get("left_on", left_on))
    return found


def open_book() -> OpenBook:
    """Every confirmed order. Four queries."""
    # Named before they are added up: what is not asked for would be grouped by, column for column.
    orders = Order.objects.filter(status=CONFIRMED).order_by().values_list("pk", "ship_by")
    sums = orders.annotate(p=Sum("lines__pairs"), s=Sum("lines__sent"), a=Sum("lines__set_aside"))
    hanging, meant, short_of = _lacking(OrderLine.objects.all())
    covers, dues = {}, []
    for key, ship_by, p, s, a in sums:
        covers[key] = cover_of(p or 0, s or 0, a or 0, hanging[key], meant[key])
        dues.append(Due(ship_by, covers[key]))
    return OpenBook(covers, short_of, dues)
