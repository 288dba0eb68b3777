"""What a pair costs one shop on one day, and the words that say why. No Django: figures in, price and reason out.

The first of these that knows the candle gives its price: what was agreed with the shop for this candle; the list of
the shop's group; the list for everybody; and in sterling the trade price that stands with the candle. A list may take
percent off from so many whole boxes of the candle on. Seconds are priced apart, from the firsts' price or by box or
weight. The shop's discount is no part of a price: it is taken off the line (orders/money.py).
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from inventory.words import day as in_words

PENNY = Decimal("0.01")
NOUGHT = Decimal("0.00")
STERLING = "GBP"
SHARE, BOX, KILO = "share", "box", "kilo"
DEAREST = Decimal("999999.99")  # eight digits: the widest price column of the book
FIVEPENCE = Decimal("0.05")


@dataclass(frozen=True)
class Item:
    """A candle as prices see it: pairs to a full standard box, grams a pair, trade price in GBP without VAT."""

    candle: int
    pairs_per_box: int
    grams_a_pair: Decimal
    trade_price: Decimal


@dataclass(frozen=True)
class Break:
    """Percent off from so many whole boxes on; `candle` None: of every candle that has no breaks of its own."""

    boxes: int
    percent: Decimal
    candle: int | None = None


@dataclass(frozen=True)
class List:
    """A list in force: its name, candle -> price a pair, its breaks."""

    pk: int
    name: str
    prices: Mapping[int, Decimal]
    breaks: Sequence[Break] = ()

    def __str__(self):
        return self.name if "list" in self.name.lower() else f"list {self.name}"


@dataclass(frozen=True)
class Agreed:
    """Agreed with the shop for one candle since a day. As a rule net: the shop's discount is in it already."""

    price: Decimal
    since: date
    takes_discount: bool = False


@dataclass(frozen=True)
class AgeOff:
    """Percent off what was dipped so many days ago or more."""

    days: int
    percent: Decimal


@dataclass(frozen=True)
class SecondsRule:
    """`value` is percent of the firsts' price (share), or money for a full box (box) or a kilo (kilo).

    `ages`: the steps by which older seconds are cheaper, in any order; none: age makes no difference.
    """

    basis: str
    value: Decimal
    ages: Sequence[AgeOff] = ()

    def off(self, days: int) -> Decimal:
        """Percent off for pairs dipped so many days ago: the oldest step they have reached."""
        reached = [step for step in self.ages if step.days <= days]
        return max(reached, key=lambda step: step.days).percent if reached else Decimal(0)


@dataclass(frozen=True)
class PriceBook:
    """All that prices one shop's order on one day. `lists`: the group's first, then the one for everybody."""

    currency: str = STERLING
    agreed: Mapping[int, Agreed] = field(default_factory=dict)
    lists: Sequence[List] = ()
    seconds: SecondsRule = SecondsRule(SHARE, Decimal(50))


@dataclass(frozen=True)
class Price:
    """A price a pair without VAT and the words that say where it came from.

    `known` is False where nothing prices the candle in this currency; the price is then nought and must not be used.
    `list`, `list_price`: the list it came from and that list's price before the break.
    """

    price: Decimal
    words: str
    takes_discount: bool = True
    list: int | None = None
    list_price: Decimal | None = None
    known: bool = True


def price_firsts(book: PriceBook, item: Item, pairs: int) -> Price:
    """What a pair of firsts costs where the order asks for so many pairs of this candle in all."""
    if agreed := book.agreed.get(item.candle):
        return Price(agreed.price, f"agreed price since {in_words(agreed.since)}", agreed.takes_discount)
    for one in book.lists:
        if item.candle in one.prices:
            listed = one.prices[item.candle]
            price, words = take_break(listed, one.breaks, item, pairs)
            return Price(price, f"{one}{words}", list=one.pk, list_price=listed)
    if book.currency == STERLING:
        return Price(item.trade_price, "trade price")
    return Price(NOUGHT, f"no price in {book.currency}", known=False)


def price_seconds(book: PriceBook, item: Item, days: int = 0) -> Price:
    """What a pair of seconds dipped so many days ago costs: half a penny rounded up, at least a penny.

    Boxes give no break on seconds.
    """
    exact = worth_of_second(book, item, days)
    off = book.seconds.off(days)
    words = f"{exact.words}, {in_percent(off)} off from {_step(book.seconds, days)} days" if off else exact.words
    return Price(to_penny(exact.price), words, exact.takes_discount) if exact.known else exact


def worth_of_second(book: PriceBook, item: Item, days: int) -> Price:
    """As price_seconds, not rounded: what many of them together are reckoned from."""
    rule, left = book.seconds, (100 - book.seconds.off(days)) / 100
    if rule.basis == SHARE:
        firsts = price_firsts(book, item, 0)
        words = f"seconds, {in_percent(rule.value)} of {firsts.price:,.2f}"
        exact = firsts.price * rule.value / 100 * left
        return Price(exact, words, firsts.takes_discount) if firsts.known else firsts
    if rule.basis == BOX:
        words = f"seconds, {rule.value:,.2f} a box of {item.pairs_per_box} pairs"
        return Price(rule.value / item.pairs_per_box * left, words)
    words = f"seconds, {rule.value:,.2f} a kilo, a pair weighs {item.grams_a_pair:.0f} g"
    return Price(rule.value * item.grams_a_pair / 1000 * left, words)


def _step(rule: SecondsRule, days: int) -> int:
    return max(step.days for step in rule.ages if step.days <= days)


def price_rows(book: PriceBook, rows: Sequence[tuple[Item, int]], *, seconds: bool) -> list[Price]:
    """A price for each (item, pairs). Rows of one candle count together towards its box break."""
    if seconds:
        return [price_seconds(book, item) for item, _ in rows]
    together: dict[int, int] = {}
    for item, pairs in rows:
        together[item.candle] = together.get(item.candle, 0) + pairs
    return [price_firsts(book, item, together[item.candle]) for item, _ in rows]


def take_break(listed: Decimal, breaks: Iterable[Break], item: Item, pairs: int) -> tuple[Decimal, str]:
    """The list's price less the break these pairs reach, to the penny, and the words for it (empty: none reached).

    Only whole boxes count. A candle with breaks of its own takes none of those for all.
    """
    breaks = list(breaks)
    own = [one for one in breaks if one.candle == item.candle]
    boxes = pairs // item.pairs_per_box
    reached = [one for one in own or [one for one in breaks if one.candle is None] if one.boxes <= boxes]
    if not reached:
        return listed, ""
    best = max(reached, key=lambda one: one.boxes)
    named = "1 box" if best.boxes == 1 else f"{best.boxes} boxes"
    words = f", from {named}: {in_percent(best.percent)} off {listed:,.2f}"
    return to_penny(listed * (100 - best.percent) / 100), words


def to_penny(amount: Decimal) -> Decimal:
    """Half a penny up, never under a penny: nothing leaves for nothing."""
    return max(PENNY, amount.quantize(PENNY, ROUND_HALF_UP))


def raise_price(price: Decimal, percent: Decimal, step: Decimal = PENNY) -> Decimal:
    """A price raised (or, below nought, lowered) by percent, to the nearest step, half a step up; at least one step.

    ValueError where it would not fit the book's price column.
    """
    raised = price * (100 + percent) / 100
    stepped = max(step, (raised / step).quantize(Decimal(1), ROUND_HALF_UP) * step)
    if stepped > DEAREST:
        raise ValueError(f"{price:,.2f} raised by {in_percent(percent)} is more than a price in this book can be.")
    return stepped.quantize(PENNY)


def seconds_cost(rule: SecondsRule) -> str:
    """The rule as a sentence: what seconds cost."""
    cost = {
        SHARE: f"{in_percent(rule.value)} of what its candle costs as a first",
        BOX: f"its part of a full box at {rule.value:,.2f}",
        KILO: f"its weight at {rule.value:,.2f} a kilo",
    }[rule.basis]
    return f"A second costs {cost}, half a penny rounded up.{ages_in_words(rule.ages)}"


def ages_in_words(ages: Sequence[AgeOff]) -> str:
    """The steps as a sentence with a blank before it: " From 60 days on 20 % comes off, from 120 days on 40 %."."""
    steps = [f"from {one.days} days on {in_percent(one.percent)}" for one in sorted(ages, key=lambda one: one.days)]
    if not steps:
        return ""
    return f" {(steps[0] + ' comes off').capitalize()}{''.join(f', {step}' for step in steps[1:])}."


def below_minimum(goods: Decimal, minimum: Decimal | None) -> str:
    """The sentence that warns of an order too small, empty where it is not. `goods` after every discount, no VAT."""
    if minimum is None or goods >= minimum:
        return ""
    short = f"{minimum - goods:,.2f} short"
    return f"Their smallest order is {minimum:,.2f} of goods; this one comes to {goods:,.2f}, {short}."


def in_percent(percent: Decimal) -> str:
    """ "5 %", "12.5 %"."""
    return f"{percent.normalize():f} %"
