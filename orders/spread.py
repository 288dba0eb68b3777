"""One price for many pairs, spread over them to the penny. No Django here: whole pairs, money in hundredths.

A line of an order has one price a pair, so a box of 7 pairs at 5.00 cannot be one line: 7 x 0.71 is 4.97. It becomes
5 pairs at 0.71 and 2 at 0.72 - a penny apart, and for one candle of the box at most.
"""

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal

PENNY = Decimal("0.01")


@dataclass(frozen=True)
class Part:
    """Pairs of one kind; `worth` of a pair says how dear it is beside the others, in any unit, not below nought."""

    key: Hashable
    pairs: int
    worth: Decimal


@dataclass(frozen=True)
class Share:
    """Pairs of one part at one price a pair."""

    key: Hashable
    pairs: int
    price: Decimal


def spread_price(price: Decimal, parts: Sequence[Part]) -> list[Share]:
    """Shares whose pairs x price add up to `price` exactly, in the order of the parts; no pair under a penny.

    A part is split over two prices a penny apart where it must be, at most one part is. ValueError where the price is
    not in whole pennies, a part holds no pairs, or there is less than a penny a pair.
    """
    pennies = int(price / PENNY)
    if pennies * PENNY != price:
        raise ValueError(f"A price is in whole pennies, not {price}.")
    if not parts or any(part.pairs <= 0 or part.worth < 0 for part in parts):
        raise ValueError("Every part holds pairs, and none is worth less than nothing.")
    pairs = sum(part.pairs for part in parts)
    if pennies < pairs:
        raise ValueError(f"{price} is less than a penny a pair for {pairs} pairs.")
    exact = _exact_pennies(pennies - pairs, parts)
    floors = [int(one.to_integral_value(ROUND_FLOOR)) for one in exact]
    left = pennies - sum(floor * part.pairs for floor, part in zip(floors, parts, strict=True))
    more = [0] * len(parts)
    # Whole parts first, those the rounding has wronged most; the last of them takes only what is left.
    for n in sorted(range(len(parts)), key=lambda n: floors[n] - exact[n]):
        more[n] = min(left, parts[n].pairs)
        left -= more[n]
    return [share for n, part in enumerate(parts) for share in _shares(part, floors[n], more[n])]


def _exact_pennies(above: int, parts: Sequence[Part]) -> list[Decimal]:
    """Pennies a pair of each part, not rounded: one, and its part of what there is above a penny a pair."""
    whole = sum(part.pairs * part.worth for part in parts)
    if not whole:
        return [1 + Decimal(above) / sum(part.pairs for part in parts)] * len(parts)
    return [1 + above * part.worth / whole for part in parts]


def _shares(part: Part, floor: int, more: int) -> list[Share]:
    both = ((part.pairs - more, floor), (more, floor + 1))
    return [Share(part.key, pairs, pennies * PENNY) for pairs, pennies in both if pairs]


def deal_lots(
    shares: Sequence[Share], lots: Mapping[Hashable, Sequence[tuple[Hashable, int]]]
) -> list[tuple[Share, list[tuple[Hashable, int]]]]:
    """Which pairs of which lot go under which share: `lots` gives each key's (lot, pairs), which add up to its shares.

    ValueError where they do not.
    """
    left = {key: [list(one) for one in its] for key, its in lots.items()}
    dealt = []
    for share in shares:
        takes, need, stock = [], share.pairs, left[share.key]
        while need and stock:
            take = min(need, stock[0][1])
            takes.append((stock[0][0], take))
            stock[0][1] -= take
            need -= take
            if not stock[0][1]:
                stock.pop(0)
        if need:
            raise ValueError(f"{need} pairs of {share.key} lie in no lot.")
        dealt.append((share, takes))
    if any(left.values()):
        raise ValueError("More pairs lie in the lots than the shares hold.")
    return dealt
