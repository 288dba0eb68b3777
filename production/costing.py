"""What a pair costs to make. No Django here: grams, millimetres, pieces, minutes, kJ; GBP without VAT.

A pair carries what it is made of (at what the lots in stock cost), the work on its frame shared by the frame's pairs,
the heat that melts its wax (TRADE P11) over the share of it that reaches the wax, and its part of the pairs that are
melted again: their wax comes back, their wick, work and heat do not. Rent, tools and the owner's own time at the desk
are not in it.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from inventory.words import per_cent

KJ_A_KWH = Decimal(3600)
TENTH_OF_A_PENNY = Decimal("0.001")
SHOWN_IN = {"g": ("g", 1), "mm": ("m", 1000), "piece": ("", 1)}


@dataclass(frozen=True)
class Material:
    """So much of a material in one pair. `price` a unit (GBP a g, mm or piece), None where no lot tells it.

    `comes_back`: it is melted out of a spoilt pair and used again, as wax and dye are.
    """

    name: str
    unit: str
    amount: Decimal
    price: Decimal | None
    comes_back: bool = False


@dataclass(frozen=True)
class Work:
    """Minutes of a person for one pair, and how that was reckoned. `after`: done only to pairs that are kept."""

    name: str
    minutes: Decimal
    basis: str
    after: bool = False


@dataclass(frozen=True)
class Rates:
    """An hour of work and a kWh (GBP); `heat_share`: the part of the energy that reaches the wax, above 0 up to 1."""

    hour: Decimal
    kwh: Decimal
    heat_share: Decimal
    heated_by: str = "electricity"


@dataclass(frozen=True)
class Part:
    """One line of the cost: GBP a pair to a tenth of a penny; `amount` None where no price is known."""

    name: str
    basis: str
    amount: Decimal | None


@dataclass(frozen=True)
class Cost:
    parts: tuple[Part, ...]

    @property
    def total(self) -> Decimal:
        """GBP a pair, of the parts whose price is known: to a tenth of a penny, so that the parts add up."""
        return sum((part.amount for part in self.parts if part.amount is not None), Decimal(0))

    @property
    def lacking(self) -> tuple[str, ...]:
        """What has no price: the total is too low by it."""
        return tuple(part.name for part in self.parts if part.amount is None)


def cost_of_pair(
    materials: Iterable[Material], works: Iterable[Work], heat_kj: float | None, rates: Rates, spoilt: float = 0
) -> Cost:
    """The cost of one pair, part by part. `heat_kj`: to melt and heat its wax, None where nobody can say;
    `spoilt`: the share of pairs hung that are melted again, 0 up to but not with 1 (ValueError otherwise).
    """
    if not 0 <= spoilt < 1:
        raise ValueError(f"not a share of spoilt pairs: {spoilt}")
    materials, works = list(materials), list(works)
    parts = [_of_material(each) for each in materials]
    parts += [Part(each.name, each.basis, _round(each.minutes / 60 * rates.hour)) for each in works]
    parts.append(_of_heat(heat_kj, rates))
    if spoilt:
        lost = [part for part, each in zip(parts, [*materials, *works, None], strict=True) if _is_lost(each)]
        share = Decimal(str(spoilt)) / (1 - Decimal(str(spoilt)))
        amount = _round(sum((part.amount or Decimal(0) for part in lost), Decimal(0)) * share)
        basis = f"{per_cent(spoilt, 1)} of the pairs hung: wick, work and heat again; the wax comes back"
        parts.append(Part("Pairs melted again", basis, amount))
    return Cost(tuple(parts))


def _is_lost(each: Material | Work | None) -> bool:
    """Whether a spoilt pair has had it, and does not give it back. None stands for the heat."""
    if isinstance(each, Material):
        return not each.comes_back and each.unit == "mm"
    return each is None or not each.after


def _of_material(each: Material) -> Part:
    unit, units = SHOWN_IN[each.unit]
    amount = f"{each.amount / units:,.2f}".rstrip("0").rstrip(".") + (f" {unit}" if unit else "")
    if each.price is None:
        return Part(each.name, f"{amount}: no lot says what it costs", None)
    bulk, per = (each.price * 1000, "kg" if each.unit == "g" else "m") if units == 1000 or each.unit == "g" else (
        each.price, "piece")  # fmt: skip
    return Part(each.name, f"{amount} at £{_round(bulk)} a {per}", _round(each.amount * each.price))


def _of_heat(heat_kj: float | None, rates: Rates) -> Part:
    name = f"Heat, {rates.heated_by}"
    if heat_kj is None:
        return Part(name, "nobody wrote down what its wax may be heated to", None)
    kwh = Decimal(str(heat_kj)) / KJ_A_KWH / rates.heat_share
    basis = f"{heat_kj:,.0f} kJ into the wax, {kwh:.3f} kWh with what is lost, at £{rates.kwh.normalize():f}"
    return Part(name, basis, _round(kwh * rates.kwh))


def _round(amount: Decimal) -> Decimal:
    return Decimal(amount).quantize(TENTH_OF_A_PENNY, ROUND_HALF_UP)
