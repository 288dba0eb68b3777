"""What an invoice comes to, reckoned once more in pence. No Django."""

from collections import defaultdict
from collections.abc import Iterable
from decimal import ROUND_HALF_UP, Decimal

from tests.histories.model import Line, Order

VAT = {"standard": 20, "zero": 0}


def whole(amount: Decimal) -> int:
    return int(amount.quantize(Decimal(1), ROUND_HALF_UP))


def net_of(line: Line, pairs: int) -> int:
    return whole(pairs * line.pence * (100 - line.discount) / 100)


def percent_of(pence: int, percent: Decimal) -> int:
    return whole(pence * percent / 100)


def carriage_of(order: Order, lines: Iterable[Line]) -> int:
    goods = sum(net_of(line, line.pairs) for line in lines)
    goods -= percent_of(goods, order.discount)
    free = order.free_above is not None and goods >= order.free_above * 100
    return 0 if not goods or free else whole(order.carriage * 100)


def shared(pence: int, weights: dict[int, int]) -> dict[int, int]:
    """Each share rounded down; what is left over goes to the largest weight."""
    every = sum(weights.values())
    shares = {rate: pence * weight // every for rate, weight in weights.items()}
    shares[max(weights, key=lambda rate: weights[rate])] += pence - sum(shares.values())
    return shares


def gross_of(parts: Iterable[tuple[Order, Line, int]], classes: dict[int, str], carriage: int) -> int:
    """Orders, their lines and the pairs that went; `classes`: VAT class by candle. Each order's own discount comes off
    its goods by rate; carriage is taxed as the goods it carries.
    """
    by_order: dict[int, dict[int, int]] = defaultdict(lambda: defaultdict(int))
    discounts = {}
    for order, line, pairs in parts:
        by_order[order.key][VAT[classes[line.candle]]] += net_of(line, pairs)
        discounts[order.key] = order.discount
    goods: dict[int, int] = defaultdict(int)
    off: dict[int, int] = defaultdict(int)
    for key, nets in by_order.items():
        for rate, net in nets.items():
            goods[rate] += net
        for rate, part in shared(percent_of(sum(nets.values()), discounts[key]), nets).items():
            off[rate] += part
    carried = shared(carriage, goods)
    taxed = {rate: goods[rate] - off[rate] + carried[rate] for rate in goods}
    return sum(net + percent_of(net, Decimal(rate)) for rate, net in taxed.items())
