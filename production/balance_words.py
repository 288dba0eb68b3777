"""The wax balance and what lies for remelt, in sentences. No Django here: whole grams in, words out."""

from collections.abc import Sequence
from datetime import date

from inventory.words import counted, day, per_cent
from production.wax_balance import Balance, Stretch, Tub

EVEN = 0.0005  # of the wax in: each frame is rounded to the gram


def kilograms(grams: int) -> str:
    """ "12.5 kg", "480 g", "–" for nothing; below nought with a minus. What is reckoned is told to 0.1 kg."""
    if not grams:
        return "–"
    size = abs(grams)
    said = f"{size} g" if size < 1000 else f"{size / 1000:,.1f}".removesuffix(".0") + " kg"
    return f"{'−' if grams < 0 else ''}{said}"


def remelt_headline(tubs: Sequence[tuple[str, Tub]]) -> str:
    """ "38 kg lie for remelt in 4 tubs, 12 kg of them paraffin, ivory." """
    lying = [(name, tub) for name, tub in tubs if tub.left > 0]
    if not lying:
        return "Nothing lies for remelt, as far as the book knows."
    most, tub = max(lying, key=lambda row: row[1].left)
    if len(lying) == 1:
        return f"{kilograms(tub.left)} of {most} {_lie(tub.left)} for remelt."
    total = sum(tub.left for _, tub in lying)
    tubs_said = counted(len(lying), "wax and colour", "waxes and colours")
    return f"{kilograms(total)} lie for remelt in {tubs_said}, {kilograms(tub.left)} of them {most}."


def _lie(grams: int) -> str:
    return "lies" if grams == 1000 else "lie"


def left_differs(before: int, weighed: int, left: int | None) -> str:
    """What the book thought should be left (g) against what was: empty where they agree, or nobody looked."""
    should = before - weighed
    if left is None:
        return "" if should >= 0 else f"That is {kilograms(-should)} more than the book knew of."
    if should == left:
        return "Nothing is missing."
    if should > left:
        return f"Missing: {kilograms(should - left)}; the book reckoned with {kilograms(should)} left."
    return f"{kilograms(left - should)} more are there than the book knew of."


def balance_headline(balance: Balance, first: date, last: date) -> str:
    """ "Of 1,204 kg of wax from 1 to 28 November 2026, 1,150 kg are in candles; 14 kg (1.2 %) went astray." """
    when = f"from {day(first)} to {day(last)}"
    if not balance.wax_in and not balance.candles:
        return f"No wax was drawn {when}."
    said = f"Of {kilograms(balance.wax_in)} of wax {when}, {kilograms(balance.candles)} are in candles; "
    if abs(balance.loss) <= EVEN * balance.wax_in:
        return said + "nothing went astray."
    if balance.loss > 0:
        return said + f"{kilograms(balance.loss)} ({per_cent(balance.share, 1)}) went astray."
    return said + f"{kilograms(-balance.loss)} more came out than was drawn."


def balance_reason(balance: Balance) -> str:
    """How far the loss can be believed."""
    if not balance.recounted:
        return (
            "The store was not recounted in this time. What is drawn is reckoned from the candles' shape, so a loss "
            "shows only once somebody weighs what is there, and wick ends seem to come from nowhere."
        )
    found = "found" if balance.recounted > 0 else "missing"
    return f"{kilograms(abs(balance.recounted))} were {found} when the store was recounted."


def vat_reason(whole: Stretch | None, stretches: int) -> str:
    """What is known of a vat's loss: "4 levels apart", or why nothing is."""
    if whole is None:
        return "no two levels were read with no change-over between"
    said = f"between levels read, {counted(stretches, 'time')}"
    if whole.loss < 0:
        return f"{said}: more hangs on candles than left it, so a top-up was not written down or a level misread"
    return said


def balance_lines(balance: Balance) -> list[dict]:
    """The balance as it is read from top to bottom: `what`, `grams`, `share` of the wax in, how it is `known`, and
    whether the line is a `sum`.
    """
    rows = [
        ("Drawn for frames counted off", balance.drawn, "by the candles' shape", False),
        ("Wasted", balance.wasted, "written down as waste", False),
        ("Missing when recounted", -balance.recounted, "recounts of the store, what was put back taken off", False),
        ("Wax in", balance.wax_in, "the three together", True),
        ("In candles", balance.candles, "firsts and seconds of these frames", False),
        ("For remelt", balance.remelt, "pairs of these frames counted off for remelt", False),
        ("Wick ends", balance.ends, "weighed in, wick and all", False),
        ("Loss", balance.loss, "what is in none of these: drips, splashes, strainings", True),
    ]
    whole = balance.wax_in
    return [
        {"what": what, "grams": grams, "share": grams / whole if whole else 0, "known": known, "sum": is_sum}
        for what, grams, known, is_sum in rows
    ]
