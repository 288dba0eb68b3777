"""The order book as its page reads it: few queries, whatever its length."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Exists, F, OuterRef, QuerySet, Subquery, Sum
from django.db.models.functions import Coalesce

from orders.cover import Cover
from orders.models import Delivery, Order, OrderLine, SetAside
from orders.models.delivery import LEFT, PACKED, PACKING
from orders.models.order import CONFIRMED
from orders.standing import Due, Standing

AT_ONCE = 500  # orders asked for in one query; a database has a limit of parameters
OPEN = F("pairs") - F("sent") - F("set_aside")


def _lines(**conditions) -> QuerySet:
    return OrderLine.objects.filter(order=OuterRef("pk"), **conditions)


HAS_OPEN = Exists(_lines(pairs__gt=F("sent") + F("set_aside")))
HAS_SOMETHING = Exists(_lines(set_aside__gt=0)) | Exists(_lines(sent__gt=0))
HAS_UNPACKED = Exists(SetAside.objects.filter(line__order=OuterRef("pk"), pairs__gt=F("packed")))


def orders_listed() -> QuerySet:
    """Every order with its shop, for lists. Figures come a page at a time, from `entries`."""
    return Order.objects.select_related("shop")


def covered(orders: QuerySet) -> QuerySet:
    return orders.filter(~HAS_OPEN)


def short(orders: QuerySet) -> QuerySet:
    return orders.filter(HAS_OPEN)


def bare(orders: QuerySet) -> QuerySet:
    """Orders with open pairs and nothing set aside or sent."""
    return orders.filter(HAS_OPEN).exclude(HAS_SOMETHING)


def ready(orders: QuerySet) -> QuerySet:
    """Confirmed, nothing open, and pairs set aside that are in no box yet."""
    return orders.filter(~HAS_OPEN, HAS_UNPACKED, status=CONFIRMED)


def with_sums(orders: QuerySet) -> QuerySet:
    """The orders with `ordered` and `still_open` pairs, for sorting by them."""

    def total(expression):
        sums = OrderLine.objects.filter(order=OuterRef("pk")).order_by().values("order").annotate(n=Sum(expression))
        return Coalesce(Subquery(sums.values("n")), 0)

    return orders.annotate(ordered=total("pairs"), still_open=total(OPEN))


@dataclass
class Entry:
    """What a row of the book shows beside the order itself."""

    cover: Cover
    standing: Standing


def entries(orders: Iterable[Order]) -> dict[int, Entry]:
    """Cover and standing of the orders (their shops fetched with them), by key. Three queries for AT_ONCE orders."""
    orders = list(orders)
    found = {}
    for start in range(0, len(orders), AT_ONCE):
        found.update(_entries(orders[start : start + AT_ONCE]))
    return found


def _entries(orders: list[Order]) -> dict[int, Entry]:
    keys = [order.pk for order in orders]
    lines = OrderLine.objects.filter(order__in=keys).order_by()
    sums = lines.values("order").annotate(p=Sum("pairs"), s=Sum("sent"), a=Sum("set_aside"))
    covers = {key: _cover(p, s, a) for key, p, s, a in sums.values_list("order", "p", "s", "a")}
    lacking: dict[int, list[str]] = {}
    short_lines = lines.filter(order__status=CONFIRMED, pairs__gt=F("sent") + F("set_aside"))
    for key, code in short_lines.order_by("order", "position").values_list("order", "candle__code"):
        lacking.setdefault(key, []).append(code)
    boxes = _boxes(keys)
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
        )
        for order in orders
    }


def _cover(pairs: int, sent: int, set_aside: int) -> Cover:
    return Cover(sent=sent, set_aside=set_aside, open=pairs - sent - set_aside)


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
    rows = Order.objects.filter(status=CONFIRMED).order_by()
    sums = rows.annotate(p=Sum("lines__pairs"), s=Sum("lines__sent"), a=Sum("lines__set_aside"))
    return [
        Due(ship_by, _cover(p or 0, s or 0, a or 0)) for ship_by, p, s, a in sums.values_list("ship_by", "p", "s", "a")
    ]
