"""What an invoice comes to, reckoned once more in pence. No Django."""

from collections import defaultdict
from collections.abc import Iterable
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal

from tests.histories.model import Line, Order

VAT = {"standard": 20, "zero": 0}


def whole(amount: Decimal) -> int:
    return int(amount.quantize(Decimal(1), ROUND_HALF_UP))


def net_of(line: Line, pairs: int) -> int:
    return whole(pairs * line.pence * (100 - line.discount) / 100)


def carriage_of(order: Order, lines: Iterable[Line]) -> int:
    goods = sum(net_of(line, line.pairs) for line in lines)
    free = order.free_above is not None and goods >= order.free_above * 100
    return 0 if not goods or free else whole(order.carriage * 100)


def gross_of(parts: Iterable[tuple[Line, int]], classes: dict[int, str], carriage: int) -> int:
    """Lines with the pairs that went; `classes`: VAT class by candle. Carriage is taxed as the goods it carries."""
    goods: dict[int, int] = defaultdict(int)
    for line, pairs in parts:
        goods[VAT[classes[line.candle]]] += net_of(line, pairs)
    every = sum(goods.values())
    shares = {
        rate: int((Decimal(carriage) * net / every).quantize(Decimal(1), ROUND_FLOOR)) for rate, net in goods.items()
    }
    largest = max(goods, key=lambda rate: goods[rate])
    shares[largest] += carriage - sum(shares.values())
    taxed = {rate: goods[rate] + shares[rate] for rate in goods}
    return sum(net + whole(Decimal(net * rate) / 100) for rate, net in taxed.items())
