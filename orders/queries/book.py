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
    """Every order with its shop, for lists. Figures come a page at a time, from `entries`."""
    return Order.objects.select_related("shop")


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


def entries(orders: Iterable[Order]) -> dict[int, Entry]:
    """Cover and standing of the orders (their shops fetched with them), by key. Four queries for AT_ONCE orders."""
    orders = list(orders)
    found = {}
    for start in range(0, len(orders), AT_ONCE):
        found.update(_entries(orders[start : start + AT_ONCE]))
    return found


def _entries(orders: list[Order]) -> dict[int, Entry]:
    keys = [order.pk for order in orders]
    sums = OrderLine.objects.filter(order__in=keys).order_by().values("order")
    sums = sums.annotate(p=Sum("pairs"), s=Sum("sent"), a=Sum("set_aside")).values_list("order", "p", "s", "a")
    hanging, meant, lacking = _lacking(keys)
    covers = {key: cover_of(p, s, a, hanging.get(key, 0), meant.get(key, 0)) for key, p, s, a in sums}
    boxes, promised = _boxes(keys), promised_days(keys)
    return {
        order.pk: Entry(
            cover := covers.get(order.pk, Cover()),
            Standing(
                order.status,
                cover,
                complete_only=order.complete_only,
                on_stop=order.shop.on_stop,
                short_of=tuple(lacking.get(order.pk, ())),
                **boxes.get(order.pk, {}),
            ),
            promised.get(order.pk),
        )
        for order in orders
    }


def _lacking(keys: list[int]) -> tuple[dict[int, int], dict[int, int], dict[int, list[str]]]:
    """By order: pairs on the floor, pairs planned, and the codes of candles of which pairs are open all the same.

    One query.
    """
    hanging: dict[int, int] = defaultdict(int)
    meant: dict[int, int] = defaultdict(int)
    short_of: dict[int, list[str]] = defaultdict(list)
    lines = OrderLine.objects.filter(order__in=keys, order__status=CONFIRMED, pairs__gt=F("sent") + F("set_aside"))
    rows = lines.annotate(missing=MISSING, hung=ON_FLOOR, meant=PLANNED).order_by("order", "position")
    for key, code, missing, hung, to_hang in rows.values_list("order", "candle__code", "missing", "hung", "meant"):
        hanging[key] += hung
        meant[key] += to_hang
        if missing > hung + to_hang:
            short_of[key].append(code)
    return hanging, meant, short_of


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


def open_book() -> list[Due]:
    """Every confirmed order as the first sentence counts it. One query."""
    rows = Order.objects.filter(status=CONFIRMED).order_by().annotate(f=OF_ORDER, d=PLANNED_OF_ORDER)
    sums = rows.annotate(p=Sum("lines__pairs"), s=Sum("lines__sent"), a=Sum("lines__set_aside"))
    figures = sums.values_list("ship_by", "p", "s", "a", "f", "d")
    return [Due(ship_by, cover_of(p or 0, s or 0, a or 0, f, d)) for ship_by, p, s, a, f, d in figures]
