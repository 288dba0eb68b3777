"""Complaints in sentences. No Django here."""

from datetime import date

from inventory.words import counted, day, in_pairs


def open_sentence(*, count: int, oldest: date, today: date) -> str:
    """ "2 complaints are open; the oldest was told of 12 days ago, on 17 November 2026." """
    said = f"{counted(count, 'complaint is', 'complaints are')} open"
    ago = (today - oldest).days
    when = "today" if not ago else f"{counted(ago, 'day')} ago, on {day(oldest)}"
    return f"{said}; {'it' if count == 1 else 'the oldest'} was told of {when}."


def complaint_sentence(*, shop: str, lot: str, pairs: int, fault: str, told_on: date, closed_on: date | None) -> str:
    """ "Shop 1 told on 17 November 2026 of 6 pairs of F26-1102-01: drip tail. It is open." """
    stands = f"Closed on {day(closed_on)}." if closed_on else "It is open."
    return f"{shop} told on {day(told_on)} of {in_pairs(pairs)} of {lot}: {fault}. {stands}"
