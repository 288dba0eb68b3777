"""Which price list applies to whom, from when: in sentences. No Django."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from inventory.words import counted
from inventory.words import day as in_words

STERLING = "GBP"


@dataclass(frozen=True)
class Known:
    """A list as the sentences need it; `group` is empty for a list for everybody, `candles` how many it prices."""

    name: str
    currency: str
    group: str
    since: date
    candles: int


def in_force(lists: Sequence[Known], today: date) -> list[Known]:
    """Of each currency and group the newest list that has begun: everybody's first, sterling first."""
    newest: dict[tuple[str, str], Known] = {}
    for one in sorted(lists, key=lambda one: one.since):
        if one.since <= today:
            newest[one.currency, one.group] = one
    return sorted(newest.values(), key=lambda one: (one.currency != STERLING, one.currency, one.group))


def who_pays_what(lists: Sequence[Known], today: date) -> str:
    """The first line of the price lists' page: what applies now."""
    now = in_force(lists, today)
    sterling = next((one for one in now if one.currency == STERLING and not one.group), None)
    said = (
        [f"Everybody pays by {sterling.name}, in force since {in_words(sterling.since)}"]
        if sterling
        else ["Everybody pays the trade prices that stand with the candles"]
    )
    said += [_apart(one) for one in now if one is not sterling]
    return f"{'; '.join(said)}."


def what_comes(lists: Sequence[Known], today: date) -> str:
    """The quiet line beneath: lists that begin later, the next first; empty where none does."""
    later = sorted((one for one in lists if one.since > today), key=lambda one: (one.since, one.group))
    return " ".join(f"From {in_words(one.since)}: {one.name} for {_for_whom(one)}." for one in later)


def how_it_stands(one: Known, lists: Sequence[Known], today: date) -> str:
    """One list: in force since, until, or from when, and for whom."""
    whom = _for_whom(one)
    after = [
        other
        for other in lists
        if (other.currency, other.group) == (one.currency, one.group) and other.since > one.since
    ]
    until = min(after, key=lambda other: other.since, default=None)
    if one.since > today:
        return f"begins on {in_words(one.since)} for {whom}"
    if until is None:
        return f"in force for {whom} since {in_words(one.since)}"
    if until.since > today:
        return f"in force for {whom} since {in_words(one.since)}, until {until.name} begins on {in_words(until.since)}"
    return f"was in force for {whom} from {in_words(one.since)} until {until.name} began on {in_words(until.since)}"


def sentence_of(one: Known, lists: Sequence[Known], today: date) -> str:
    """The first line of a list's own page."""
    stands = how_it_stands(one, lists, today)
    return f"{one.name} {'is ' if stands.startswith('in force') else ''}{stands}."


def what_a_shop_pays(lists: Sequence[Known], group: str, currency: str, agreed: int, today: date) -> str:
    """A shop's prices in words: which list, and how many prices of its own; `group` empty: none."""
    now = {one.group: one for one in in_force(lists, today) if one.currency == currency}
    own, every = now.get(group) if group else None, now.get("")
    bare = "the trade prices" if currency == STERLING else f"no list in {currency} yet"
    said = every.name if every else bare
    if own:
        said = f"{own.name} for {counted(own.candles, 'candle')}, else {said}"
    if agreed:
        said = f"{counted(agreed, 'agreed price')}, else {said}"
    return said if currency == STERLING or currency in said else f"{said}, in {currency}"


def _apart(one: Known) -> str:
    if one.group:
        sterling = "" if one.currency == STERLING else f" in {one.currency}"
        return f"{one.group} by {one.name} for {counted(one.candles, 'candle')}{sterling}"
    return f"shops that buy in {one.currency} by {one.name}"


def _for_whom(one: Known) -> str:
    whom = one.group or "everybody"
    return whom if one.currency == STERLING else f"{whom} who buys in {one.currency}"
