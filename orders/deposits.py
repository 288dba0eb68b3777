"""Taking off an invoice what was invoiced as deposit before the goods left. No Django.

Amounts are net of VAT. A deposit was taxed at the rates it was invoiced at, so it comes off the same rates; where the
law has changed a rate since, what it paid for comes off the new ones, for its part of the supply is taxed already.
"""

from collections.abc import Hashable, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from orders.money import NOUGHT, Rate


@dataclass(frozen=True)
class TakenOff:
    """`net` of deposit `key`, taxed then at `of`, comes off what is taxed now at `at`."""

    key: Hashable
    of: Rate
    at: Rate
    net: Decimal


def take_off(
    taxable: Mapping[Rate, Decimal], deposits: Iterable[tuple[Hashable, Mapping[Rate, Decimal]]], in_force: set[Rate]
) -> list[TakenOff]:
    """What comes off each rate of an invoice, never more than is taxed at it; `deposits` (what is left) in turn.

    A deposit of a rate still `in_force` waits for goods of that rate; one of a rate no longer in force goes over all.
    """
    room, found = dict(taxable), []
    for key, left in deposits:
        for of, amount in left.items():
            rates = [of] if of in in_force else sorted(room, key=lambda rate: room[rate], reverse=True)
            owed = amount
            for at in rates:
                net = min(owed, room.get(at, NOUGHT))
                if net > 0:
                    found.append(TakenOff(key, of, at, net))
                    room[at], owed = room[at] - net, owed - net
    return found
