"""The content of an order acknowledgement: what was ordered, at which prices, and the day promised. No invoice."""

from decimal import Decimal

from django.utils import timezone

from inventory.models import SECONDS
from inventory.words import day, in_pairs, measure
from orders.documents.parts import candle_facts, house, receiver
from orders.models import Order, OrderLine, PromisedDate
from orders.money import in_pounds, line_net, percent_of, symbol_of


def acknowledgement_content(order: Order, promise: PromisedDate, *, replaces: str) -> dict:
    """Plain text, whole numbers, lists and dicts; its number is put in when it is issued. `replaces`: the last one."""
    today, workshop, shop = timezone.localdate(), house(), receiver(order)
    lines = [line for line in order.lines.select_related("candle__colour", "order") if line.pairs]
    goods = sum((line_net(line.pairs, line.price, line.discount) for line in lines), Decimal(0))
    off = percent_of(goods, order.order_discount)
    return {
        "title": "Order acknowledgement",
        "issued_on": day(today),
        "issued_iso": today.isoformat(),
        "workshop": workshop,
        "shop": shop,
        "addressee": [shop["name"], *shop["address"]],
        "sender": [workshop["name"], *workshop["address"], workshop["telephone"], workshop["email"]],
        "order": str(order.number),
        "placed_on": day(order.placed_on),
        "reference": order.reference,
        "seconds": order.grade == SECONDS,
        "promised_on": f"{promise.day:%A} {day(promise.day)}",
        "promised_iso": promise.day.isoformat(),
        "promise": promise_sentence(order, promise),
        "lines": [_line(line) for line in lines],
        "pairs": sum(line.pairs for line in lines),
        "symbol": symbol_of(order.currency),
        "goods": in_pounds(goods),
        "off": {"percent": measure(order.order_discount), "why": order.order_discount_reason, "amount": in_pounds(off)}
        if off
        else None,
        "net": in_pounds(goods - off),
        "replaces": replaces,
    }


def promise_sentence(order: Order, promise: PromisedDate) -> str:
    pairs = sum(line.pairs for line in order.lines.all())
    what = "the pair" if pairs == 1 else f"all {in_pairs(pairs)}"
    how = "together, in one delivery," if order.complete_only else "in full"
    return f"We promise that {what} will leave us {how} by {promise.day:%A} {day(promise.day)}."


def _line(line: OrderLine) -> dict:
    return {
        **candle_facts(line.candle),
        "pairs": line.pairs,
        "price": in_pounds(line.price),
        "discount": f"{measure(line.discount)} %" if line.discount else "",
        "net": in_pounds(line_net(line.pairs, line.price, line.discount)),
    }
