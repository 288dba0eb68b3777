"""Which papers a payment is for: proposed from its text and amount, each with its reason in words. Never posted here.

Amounts as Decimal in one currency. No Django. Own rules: what is named goes before what fits by amount, and what fits
by amount before what is oldest.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from functools import lru_cache
from itertools import combinations

from orders.money import NOUGHT, in_pounds

# Letters, then a figure, then perhaps further figures that share the letters.
NAMED = re.compile(
    r"(?<![A-Z0-9])([A-Z]{1,8})[\s\-/.:#]*((?<!\d)\d{1,9}(?!\d)(?:\s*[,/&+]\s*\d{1,9}(?!\d))*)", re.ASCII
)
MOST_TRIED = 14  # papers of one shop looked through for a set that adds up
MOST_TOGETHER = 4
SHORTEST_NAME = 4  # letters a shop's name has to have to be known by it
LONGEST_PREFIX = 3  # letters before a paper's number: INV, CN, PO
SHORTEST_CUT = 8  # letters left of a name that a bank cut off
COMMON = {"THE", "AND", "LTD", "LIMITED", "LLP", "PLC"}


@dataclass(frozen=True)
class Owed:
    """A paper with something left to pay. `prompt`: what settles it until that day, where its terms offer that."""

    key: str
    number: str
    shop: int
    open: Decimal
    due_on: date
    prompt: tuple[date, Decimal] | None = None


@dataclass(frozen=True)
class Money:
    """What came in."""

    amount: Decimal
    on: date
    text: str


@dataclass(frozen=True)
class Match:
    """A proposal: parts as (paper's key, amount), the rest on account. `sure`: good enough to be ticked beforehand.

    `prompt`: keys of the papers settled with their discount for prompt payment. `named`: by a paper's own number.
    """

    shop: int | None
    parts: tuple[tuple[str, Decimal], ...] = ()
    on_account: Decimal = NOUGHT
    why: str = ""
    sure: bool = False
    prompt: tuple[str, ...] = ()
    named: bool = False


@dataclass(frozen=True)
class Book:
    """What a payment can be matched against.

    owed: open papers. settled: number and shop of paid ones, by key_of. names: of shops. payers: shops by payer_of.
    """

    owed: tuple[Owed, ...]
    settled: Mapping[tuple[str, int], tuple[str, int]] = field(default_factory=dict)
    names: Mapping[int, str] = field(default_factory=dict)
    payers: Mapping[str, int] = field(default_factory=dict)

    def of_shop(self, shop: int) -> list[Owed]:
        """The oldest due first."""
        return sorted((one for one in self.owed if one.shop == shop), key=lambda one: (one.due_on, one.number))


def match(money: Money, book: Book) -> Match:
    """The best proposal for one payment."""
    numbers = numbers_in(money.text)
    named = [one for one in book.owed if key_of(one.number) in numbers] if numbers else []
    if named:
        return _by_name(money, named)
    if paid := sorted(numbers & book.settled.keys()):
        return _paid_before(money, *book.settled[paid[0]])
    shop, how = _who(money.text, book)
    if shop is not None:
        return _by_shop(money, shop, how, book.of_shop(shop))
    return _by_amount(money, book)


def match_of_shop(money: Money, owed: Iterable[Owed], shop: int) -> Match:
    """The best proposal for a payment of which the shop is known; `owed` are its open papers, the oldest due first."""
    owed, numbers = list(owed), numbers_in(money.text)
    named = [one for one in owed if key_of(one.number) in numbers]
    return _by_name(money, named) if named else _by_shop(money, shop, "No paper is named", owed)


def key_of(number: str) -> tuple[str, int]:
    """What tells a paper's number in a text: its letters and its figure. "INV-1001" is ("INV", 1001)."""
    found = re.fullmatch(r"(\D*)(\d{1,9})", number)
    return (re.sub(r"[^A-Z]", "", found[1].upper()), int(found[2])) if found else (number.upper(), 0)


def numbers_in(text: str) -> set[tuple[str, int]]:
    """The numbers named in a text, also as "inv 1001", "INV1001/1002" or "Inv. 0001001"."""
    found = set()
    for hit in NAMED.finditer(text.upper()):
        found |= {(hit[1], int(figure)) for figure in re.findall(r"\d+", hit[2])}
    return found


def _by_name(money: Money, named: list[Owed]) -> Match:
    shops = {one.shop for one in named}
    numbers = _and([one.number for one in named])
    if len(shops) > 1:
        return Match(None, why=f"{numbers} are named, but they belong to two shops: choose one.")
    shop, total = named[0].shop, sum((one.open for one in named), NOUGHT)
    named = sorted(named, key=lambda one: (one.due_on, one.number))
    verb = "is" if len(named) == 1 else "are"
    if prompt := _prompt(money, named):
        why = f"{numbers} is named, and paid in time for its discount."
        return Match(shop, ((prompt.key, money.amount),), why=why, sure=True, prompt=(prompt.key,), named=True)
    parts, rest = share_out(money.amount, named)
    if money.amount == total:
        why = f"{numbers} {verb} named, and the amount is right."
    elif rest:
        why = f"{numbers} {verb} named; {in_pounds(rest)} more than that came: it goes on account."
    else:
        why = f"{numbers} {verb} named; {in_pounds(total - money.amount)} of it stays open."
    return Match(shop, parts, rest, why, sure=not rest, named=True)


def _prompt(money: Money, named: list[Owed]) -> Owed | None:
    """The one paper named, if what came settles it with the discount for prompt payment."""
    if len(named) != 1 or named[0].prompt is None:
        return None
    by, amount = named[0].prompt
    return named[0] if money.on <= by and money.amount == amount else None


def _paid_before(money: Money, number: str, shop: int) -> Match:
    why = f"{number} is named, but nothing of it is open: it would all go on account."
    return Match(shop, on_account=money.amount, why=why)


def _who(text: str, book: Book) -> tuple[int | None, str]:
    payer = payer_of(text)
    if (shop := book.payers.get(payer)) is not None:
        return shop, "They paid with the same words before"
    words = set(payer.split())
    found = [shop for shop, name in book.names.items() if _names(name) and _names(name) <= words]
    if not found and len(payer) >= SHORTEST_CUT:
        # Banks cut a name off after so many letters.
        found = [shop for shop, name in book.names.items() if payer_of(name).startswith(payer)]
    if len(found) == 1:
        return found[0], f"{book.names[found[0]]} stands in the text"
    return None, ""


@lru_cache(maxsize=4096)
def payer_of(text: str) -> str:
    """What of a bank's text says who pays: its words in capitals. Numbers of papers, which change each time, go."""
    cut = NAMED.sub(lambda hit: " " if len(hit[1]) <= LONGEST_PREFIX else hit[0], text.upper().replace("&", " AND "))
    words = re.findall(r"[A-Z0-9]+", re.sub(r"['’]", "", cut))
    return " ".join(word for word in words if word not in COMMON and not any(sign.isdigit() for sign in word))


def _names(name: str) -> frozenset[str]:
    """The words that tell a shop from others; none where its name is too short to be known by."""
    words = frozenset(payer_of(name).split())
    return words if sum(map(len, words)) >= SHORTEST_NAME else frozenset()


def _by_shop(money: Money, shop: int, how: str, owed: list[Owed]) -> Match:
    if not owed:
        return Match(shop, on_account=money.amount, why=f"{how}, but they owe nothing: it would all go on account.")
    sets = adding_up(money.amount, owed)
    if len(sets) == 1:
        numbers = _and([one.number for one in sets[0]])
        add_up = "is of this amount" if len(sets[0]) == 1 else "add up to it"
        parts = tuple((one.key, one.open) for one in sets[0])
        return Match(shop, parts, why=f"{how}; of theirs only {numbers} {add_up}.", sure=True)
    parts, rest = share_out(money.amount, owed)
    several = "more than one set of theirs adds up to it" if sets else "no set of theirs adds up to it"
    return Match(shop, parts, rest, f"{how}; {several}: the oldest first.")


def _by_amount(money: Money, book: Book) -> Match:
    same = [one for one in book.owed if one.open == money.amount]
    if len(same) == 1:
        only = same[0]
        why = f"Nobody is named; of all that is open only {only.number} is of this amount."
        return Match(only.shop, ((only.key, only.open),), why=why)
    if same:
        return Match(
            None, why=f"Nobody is named; {_and([one.number for one in same[:4]])} are of this amount: choose."
        )
    return Match(None, why="Nobody is named, and nothing open is of this amount: choose the shop.")


def share_out(amount: Decimal, owed: Iterable[Owed]) -> tuple[tuple[tuple[str, Decimal], ...], Decimal]:
    """An amount over papers in their order, each paid as far as it goes; and what is left over."""
    parts, rest = [], amount
    for one in owed:
        part = min(rest, one.open)
        if part > 0:
            parts.append((one.key, part))
            rest -= part
    return tuple(parts), rest


def adding_up(amount: Decimal, owed: list[Owed]) -> list[tuple[Owed, ...]]:
    """Sets of papers that add up to the amount exactly: of one, else everything, else of two to four. At most two."""
    single = [(one,) for one in owed if one.open == amount][:2]
    if single:
        return single
    if sum((one.open for one in owed), NOUGHT) == amount:
        return [tuple(owed)]
    tried = owed[:MOST_TRIED]
    for size in range(2, MOST_TOGETHER + 1):
        found = [some for some in combinations(tried, size) if sum((one.open for one in some), NOUGHT) == amount]
        if found:
            return found[:2]
    return []


def _and(words: list[str]) -> str:
    return " and ".join(filter(None, [", ".join(words[:-1]), words[-1]]))
