"""The two ways to set the book aside, order by order: only where they differ."""

from collections.abc import Iterator

import django_tables2 as tables
from django.utils import timezone

from inventory.tables.columns import DATE, RIGHT
from orders.allotting import Allotment
from orders.domain.two_ways import TwoWays
from orders.models import Order
from orders.standing import short_day


class WaysTable(tables.Table):
    caption = "Orders that the two ways serve differently"
    number = tables.Column("Order", linkify=("order", [tables.A("number")]))
    shop = tables.Column()
    ship_by = tables.Column("Ship by", attrs=DATE)
    open = tables.Column("Open pairs", attrs=RIGHT)
    rule = tables.Column("The rule's own")
    most = tables.Column("Most orders complete")

    class Meta:
        orderable = False
        empty_text = "Both ways give every order the same."

    @classmethod
    def of(cls, ways: TwoWays) -> "WaysTable":
        return cls(list(_rows(ways)))

    def render_ship_by(self, value):
        return short_day(value, timezone.localdate())


def _rows(ways: TwoWays) -> Iterator[dict]:
    rule, most = _given(ways.rule), _given(ways.most)
    differ = [order for order in ways.orders if rule[order.number] != most[order.number]]
    shops = Order.objects.filter(number__in=[order.number for order in differ]).select_related("shop")
    names = {order.number: str(order.shop) for order in shops}
    for order in sorted(differ, key=lambda order: order.turn):
        wanted = sum(line.open for line in order.lines)
        yield {
            "number": order.number,
            "shop": names[order.number],
            "ship_by": order.ship_by,
            "open": wanted,
            "rule": _words(rule[order.number], wanted),
            "most": _words(most[order.number], wanted),
        }


def _given(allotment: Allotment) -> dict[int, int]:
    given: dict[int, int] = {}
    for line in allotment.lines:
        given[line.order] = given.get(line.order, 0) + line.pairs
    return given


def _words(given: int, wanted: int) -> str:
    if not given:
        return "nothing"
    return "complete" if given == wanted else f"{given:,} pairs, {wanted - given:,} short"
