"""What is said to whoever looks over the draft that a form became. Sentences; no Django."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date
from decimal import Decimal

from inventory.words import counted, day, in_pairs

MOST_NAMED = 6  # prices told one by one
LONGEST_NOTES = 500
LONGEST_TEXT = 80
QUARTERS = ("January to March", "April to June", "July to September", "October to December")


def price_changes(
    form: str, made_on: date, then: Mapping[str, Decimal], now: Mapping[str, Decimal | None]
) -> list[str]:
    """Prices that are others today than on the form. `now` holds what was ordered, by code; None: no longer priced."""
    changed = [(code, then[code], price) for code, price in now.items() if code in then and price != then[code]]
    if not changed:
        return []
    named = [f"{code} {was:,.2f} then, {'none' if is_ is None else f'{is_:,.2f}'} now" for code, was, is_ in changed]
    more = f" and {len(named) - MOST_NAMED} more" if len(named) > MOST_NAMED else ""
    since = f"Since {form} of {day(made_on)} {counted(len(changed), 'price')} changed"
    return [f"{since}: {'; '.join(named[:MOST_NAMED])}{more}. The draft goes by today's."]


def about_day(written: str, meant: date | None, kept: date, *, refused: str = "", van_goes: bool = True) -> list[str]:
    """What became of the day they wrote. `kept`: the draft's ship-by date; `refused`: why theirs could not be."""
    if not written:
        return [f"They chose no day; {day(kept)} is our own guess."]
    if meant is None:
        return [f"“{written[:LONGEST_TEXT]}” is no plain day; {day(kept)} is our own guess."]
    if refused:
        return [f"They want it to leave on {day(meant)}. {refused} {day(kept)} is our own guess."]
    if not van_goes:
        return [f"{meant:%A} {day(meant)} is no day of the van: it would go before."]
    return []


def about_address(written: str, kept: str, *, known: bool) -> list[str]:
    if known or not written:
        return []
    return [f"“{written[:LONGEST_TEXT]}” is none of their addresses here; the draft goes to {kept or 'none yet'}."]


def notes_of(parts: Iterable[str], most: int = LONGEST_NOTES) -> tuple[str, list[str]]:
    """The parts as one note, and those it had no room for."""
    kept, left = "", []
    for part in filter(None, parts):
        longer = f"{kept} / {part}" if kept else part
        if len(longer) <= most and not left:
            kept = longer
        else:
            left.append(part)
    return kept, left


def they_wrote(notes: str, remarks: Iterable[str]) -> list[str]:
    """Their words once more where they are read whole: a draft's field for notes shows the beginning only."""
    return [*([f"Their note: {notes}"] if notes else []), *(f"They also wrote: {remark}" for remark in remarks)]


def came_before(form: str, orders: Sequence[tuple[int, str, date]]) -> list[str]:
    """Orders (number, how it stands, read on) this form became before, with other contents."""
    return [
        f"{form} came back before, on {day(on)}: order {number}, {stands}. "
        "If this one takes its place, call that one off or put it away."
        for number, stands, on in orders
    ]


def what_was_read(rows: int, pairs: int, doubts: int) -> str:
    """ "12 rows read, 480 pairs; 2 rows to look at"."""
    said = f"{counted(rows, 'row')} read, {in_pairs(pairs)}"
    return f"{said}; {counted(doubts, 'row')} to look at" if doubts else said


def quarters_before(first: date, last: date) -> tuple[date, date, str]:
    """The quarters that a stretch of days touches, a year before: first and last day, and the words for them."""
    begin, end = (first.month - 1) // 3, (last.month - 1) // 3
    since = date(first.year - 1, 3 * begin + 1, 1)
    until_year, until_quarter = last.year - 1, end
    until = date(until_year + (until_quarter == 3), (3 * until_quarter + 3) % 12 + 1, 1)
    one, two = QUARTERS[begin].split(" to ")[0], QUARTERS[end].split(" to ")[1]
    same = since.year == until_year
    return since, until, f"{one} to {two} {since.year}" if same else f"{one} {since.year} to {two} {until_year}"


def whether_van_goes(when: date, weekdays: Collection[int]) -> bool:
    return not weekdays or when.weekday() in weekdays
