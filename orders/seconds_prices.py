"""What seconds cost that lie there in lots of different age: single pairs, and whole boxes. No Django here.

Money without VAT in the currency of the book of prices; weights in g; ages in days.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from orders.prices import BOX, KILO, Item, Price, PriceBook, in_percent, price_seconds, to_penny, worth_of_second

PENNY = Decimal("0.01")


@dataclass(frozen=True)
class Lying:
    """Pairs of one candle that were dipped so many days ago."""

    days: int
    pairs: int


@dataclass(frozen=True)
class Content:
    """Pairs of one lot in a box."""

    item: Item
    pairs: int
    days: int


def price_second_rows(
    book: PriceBook, rows: Sequence[tuple[Item, int]], lying: Mapping[int, Iterable[Lying]]
) -> list[Price]:
    """A price for each (item, pairs). `lying`: by candle what is free, and the oldest goes first.

    Rows of one candle share it in turn. Pairs nothing lies there for are reckoned as new.
    """
    left = {candle: [[one.days, one.pairs] for one in its] for candle, its in lying.items()}
    for its in left.values():
        its.sort(reverse=True)
    return [_price_row(book, item, pairs, left.get(item.candle, [])) for item, pairs in rows]


def _price_row(book: PriceBook, item: Item, pairs: int, left: list[list[int]]) -> Price:
    plain = price_seconds(book, item)
    taken = _oldest(left, pairs)
    if not plain.known or not taken:
        return plain
    prices = [(count, price_seconds(book, item, days)) for days, count in taken]
    if len({price.price for _, price in prices}) == 1:
        return prices[0][1]
    mean = sum(count * price.price for count, price in prices) / pairs
    older = sum(count for days, count in taken if book.seconds.off(days))
    return replace(plain, price=to_penny(mean), words=f"{plain.words}, {older} of {pairs} cheaper by age")


def _oldest(left: list[list[int]], pairs: int) -> list[tuple[int, int]]:
    """(days, pairs) taken from what is left, the oldest first; what is not there counts as new."""
    taken = []
    while pairs and left:
        days, there = left[0]
        take = min(pairs, there)
        taken.append((days, take))
        pairs -= take
        left[0][1] -= take
        if not left[0][1]:
            left.pop(0)
    return [*taken, (0, pairs)] if pairs else taken


def price_of_box(book: PriceBook, contents: Sequence[Content], weight_g: int, discount: Decimal) -> Price:
    """What the whole box costs a shop with that discount (%), rounded once, at least a penny a pair.

    By the kilo it is the weight of the scales that counts. The shop's discount is in the price already: a box has one
    price, whoever reckons it again. `known` is False where a candle has no price in this currency.
    """
    pairs, worths = sum(one.pairs for one in contents), worth_in_box(book, contents)
    unknown = next((worth for worth in worths if not worth.known), None)
    if unknown:
        return unknown
    nets = [
        one.pairs * worth.price * (100 - (discount if worth.takes_discount else 0)) / 100
        for one, worth in zip(contents, worths, strict=True)
    ]
    exact = sum(nets, Decimal(0))
    if book.seconds.basis == KILO:
        exact *= weight_g / sum(one.pairs * one.item.grams_a_pair for one in contents)
    return Price(max(to_penny(exact), pairs * PENNY), _box_words(book, contents, weight_g, discount), False)


def worth_in_box(book: PriceBook, contents: Sequence[Content]) -> list[Price]:
    """What a pair of each content is worth by the rule, not rounded."""
    return [worth_of_second(book, one.item, one.days) for one in contents]


def _box_words(book: PriceBook, contents: Sequence[Content], weight_g: int, discount: Decimal) -> str:
    rule = book.seconds
    if rule.basis == KILO:
        words = f"{weight_g / Decimal(1000):.3f} kg at {rule.value:,.2f} a kilo"
    elif rule.basis == BOX:
        words = f"each pair its part of a full box at {rule.value:,.2f}"
    else:
        words = f"{in_percent(rule.value)} of what its pairs cost as firsts"
    older = sum(one.pairs for one in contents if rule.off(one.days))
    if older:
        words += f", {older} of {sum(one.pairs for one in contents)} pairs cheaper by age"
    return f"{words}, less {in_percent(discount)}" if discount else words


def price_by_kilo(weight_g: int, kilo: Decimal) -> Decimal:
    """The price of a box by its weight (g) at so much a kilo, to the penny, at least one."""
    return to_penny(kilo * weight_g / 1000)
