"""How old a debt is: not yet due, and by thirty days past its day. Words for what to do about it. No Django here."""

from collections.abc import Iterable
from dataclasses import dataclass, fields
from datetime import date
from decimal import Decimal

from inventory.words import counted, day
from orders.money import NOUGHT, in_pounds

SOON = 7  # days before the next reminder
FINAL = 60  # days late from which words alone were tried long enough


@dataclass(frozen=True)
class Aged:
    """What is owed, by age in days past the day it was due; and what lies on account against it."""

    current: Decimal = NOUGHT
    days_30: Decimal = NOUGHT
    days_60: Decimal = NOUGHT
    days_90: Decimal = NOUGHT
    older: Decimal = NOUGHT
    on_account: Decimal = NOUGHT

    @property
    def late(self) -> Decimal:
        return self.days_30 + self.days_60 + self.days_90 + self.older

    @property
    def owed(self) -> Decimal:
        """Less what lies on account; below nought where we owe them."""
        return self.current + self.late - self.on_account

    @property
    def owed_back(self) -> Decimal:
        """What we owe them."""
        return -self.owed

    def __add__(self, other: "Aged") -> "Aged":
        return Aged(*(getattr(self, one.name) + getattr(other, one.name) for one in fields(self)))


AGES = (("current", "Not yet due"), ("days_30", "1 to 30 days late"), ("days_60", "31 to 60"), ("days_90", "61 to 90"),
        ("older", "Over 90"))  # fmt: skip


def age_of(due_on: date, today: date) -> str:
    """Which part of Aged a debt belongs to. On its day it is not late yet."""
    late = (today - due_on).days
    if late <= 0:
        return "current"
    return next((name for most, name in ((30, "days_30"), (60, "days_60"), (90, "days_90")) if late <= most), "older")


def aged(debts: Iterable[tuple[date, Decimal]], today: date, on_account: Decimal = NOUGHT) -> Aged:
    """Debts as (due on, amount open) added up by age."""
    sums: dict[str, Decimal] = {}
    for due_on, amount in debts:
        name = age_of(due_on, today)
        sums[name] = sums.get(name, NOUGHT) + amount
    return Aged(**sums, on_account=on_account)


def next_step(found: Aged, *, oldest: date | None, reminded: date | None, reminders: int, today: date) -> str:
    """What to do about a shop's debt now. `oldest`: its oldest due day; `reminded`: the day of the last reminder."""
    if found.owed < 0:
        return "We owe them: pay it back, or leave it for their next invoice."
    if found.late <= 0 or oldest is None:
        return "All in time." if found.current else ""
    if found.on_account >= found.late:
        return "Set what lies on account against it."
    if reminded is not None and (today - reminded).days < SOON:
        return f"Wait: reminded on {day(reminded)}."
    return _push(reminders, (today - oldest).days)


def _push(reminders: int, late: int) -> str:
    if reminders == 0:
        return "Send a reminder."
    if late > FINAL and reminders > 1:
        return "Put them on stop; interest may be charged."
    return "Telephone, then send a second reminder." if reminders == 1 else "Send a last reminder."


def debt_sentence(owing: int, total: Aged, *, oldest: date | None, whose: str, currency: str = "GBP") -> str:
    """The first line of the debts: who owes what, and how much of it is late since when."""
    unit = "" if currency == "GBP" else f" {currency}"
    if not owing:
        return "Nobody owes anything."
    verb = "owes" if owing == 1 else "owe"
    head = f"{counted(owing, 'shop')} {verb} {in_pounds(total.current + total.late)}{unit}"
    if not total.late or oldest is None:
        return f"{head}, none of it late."
    return f"{head}; {in_pounds(total.late)}{unit} of it is late, the oldest since {day(oldest)} ({whose})."
