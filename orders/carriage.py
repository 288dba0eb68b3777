"""What carriage an order costs. No Django: the shop's rule and the order's load in, an amount and its reason out.

Weight and boxes are reckoned from the pairs ordered, not from the boxes packed: what was quoted when the order was
taken is what is charged, once, however many deliveries it takes.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal
from fractions import Fraction

PENNY = Decimal("0.01")
NOUGHT = Decimal("0.00")
FLAT, BY_WEIGHT, BY_BOX = "flat", "weight", "box"


@dataclass(frozen=True)
class Rule:
    """`charge` an order, a box, or for each started `kilos` kg; `free_above` None: never free."""

    by: str
    charge: Decimal
    kilos: int = 10
    free_above: Decimal | None = None


@dataclass(frozen=True)
class Load:
    """Standard boxes, and grams of the pairs with those boxes."""

    boxes: int
    grams: Decimal

    @property
    def kilos(self) -> Decimal:
        return (self.grams / 1000).quantize(Decimal("0.1"), ROUND_CEILING)


@dataclass(frozen=True)
class Charge:
    """What carriage costs without VAT, and why; `why` is empty for the plain charge of an order."""

    amount: Decimal
    why: str = ""


def load_of(parts: Iterable[tuple[int, int, Decimal]], tare_g: int) -> Load:
    """The load of (pairs, pairs to a box, grams a pair): candles share boxes, so only the last one goes part full."""
    parts = [part for part in parts if part[0]]
    full = sum((Fraction(pairs, per_box) for pairs, per_box, _ in parts), Fraction(0))
    boxes = -(-full.numerator // full.denominator)
    return Load(boxes, sum((pairs * grams for pairs, _, grams in parts), Decimal(0)) + boxes * tare_g)


def charge_carriage(rule: Rule, goods: Decimal, load: Load) -> Charge:
    """Carriage for goods (after every discount, without VAT) of one order.

    Nothing from `free_above` up; and nothing ordered, nothing carried.
    """
    if goods <= 0:
        return Charge(NOUGHT)
    if not rule.charge:
        return Charge(NOUGHT, "carriage free")
    if rule.free_above is not None and goods >= rule.free_above:
        return Charge(NOUGHT, f"free from goods of {rule.free_above:,.2f}; it comes to {goods:,.2f}")
    if rule.by == BY_BOX:
        return Charge(_pence(rule.charge * load.boxes), f"{_boxes(load.boxes)} at {rule.charge:,.2f}")
    if rule.by == BY_WEIGHT:
        started = (load.grams / (1000 * rule.kilos)).to_integral_value(ROUND_CEILING)
        why = f"{load.kilos} kg with boxes, {rule.charge:,.2f} for each started {rule.kilos} kg"
        return Charge(_pence(rule.charge * started), why)
    return Charge(_pence(rule.charge))


def in_words(rule: Rule) -> str:
    """The rule as a shop's page says it: "8.50 an order, free from goods of 250.00"."""
    if not rule.charge:
        return "carriage free"
    each = {BY_BOX: "a box", BY_WEIGHT: f"for each started {rule.kilos} kg"}.get(rule.by, "an order")
    free = f", free from goods of {rule.free_above:,.2f}" if rule.free_above is not None else ""
    return f"{rule.charge:,.2f} {each}{free}"


def _boxes(boxes: int) -> str:
    return "1 box" if boxes == 1 else f"{boxes:,} boxes"


def _pence(amount: Decimal) -> Decimal:
    return amount.quantize(PENNY, ROUND_HALF_UP)
