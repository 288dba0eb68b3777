"""The first lines of the pages about order forms. No Django."""

from collections.abc import Sequence
from urllib.parse import quote

from inventory.words import counted, in_pairs


def all_forms(made: int, back: int) -> str:
    if not made:
        return "No order form is made yet."
    if made == 1:
        return f"One order form is made, and it {'came back' if back else 'has not come back yet'}."
    came = "none of them came back yet" if not back else f"{back:,} of them came back"
    return f"{made:,} order forms are made; {came}."


def new_form(shop: str, pairs: int, last_year: str) -> str:
    """`pairs` the shop ordered to leave in `last_year` ("October to December 2025")."""
    took = f"{shop} ordered {in_pairs(pairs)} to leave {last_year}" if pairs else f"{shop} ordered nothing a year ago"
    return f"{took}: which days is its order form for?"


def one_form(form: str, shop: str, candles: int, letters: int, backs: int) -> str:
    stands = "it came back" if backs else "it was sent" if letters else "it waits to be sent"
    return f"{form} for {shop}: {counted(candles, 'candle')} at its prices; {stands}."


def came_back(form: str, shop: str, rows: Sequence[dict]) -> str:
    """`rows` of a form that came back; `doubt`: not understood, `left_out`: it orders nothing."""
    doubts = sum(1 for row in rows if row["doubt"])
    plain = sum(1 for row in rows if not row["doubt"] and not row["left_out"])
    understood = f"{form} of {shop} was read: {counted(plain, 'row')} understood"
    return f"{understood}, {doubts:,} to look at." if doubts else f"{understood}, none to look at."


def quoted(name: str) -> str:
    """A file's name as a header may carry it (RFC 5987)."""
    return quote(name, safe="")
