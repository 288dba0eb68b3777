"""What the sheets' pages and the command say. No Django."""

from collections import Counter
from collections.abc import Sequence

from inventory.sheets.columns import Fault, Match
from inventory.sheets.outcome import CHANGED, LEFT_OUT, NEW, UNCHANGED, Outcome
from inventory.sheets.parts import column_letter
from inventory.words import counted

ALL = (NEW, CHANGED, UNCHANGED, LEFT_OUT)


def what_comes(outcomes: Sequence[Outcome], one: str, many: str, verb: str = "") -> str:
    """ "34 shops: 30 new, 3 changed, 1 unchanged"; with a verb, "34 shops can be loaded: ..."."""
    count = Counter(outcome.what for outcome in outcomes)
    parts = [f"{count[what]:,} {what}" for what in ALL if count[what]]
    rows = " ".join(filter(None, [counted(len(outcomes), one, many), verb]))
    return f"{rows}: {', '.join(parts)}" if outcomes else f"No {one} in it"


def what_is_wrong(faults: Sequence[Fault]) -> str:
    """ "5 faults in 3 rows; nothing is loaded before they are mended"."""
    rows = counted(len({fault.row for fault in faults}), "row")
    mended = "it is" if len(faults) == 1 else "they are"
    return f"{counted(len(faults), 'fault')} in {rows}; nothing is loaded before {mended} mended"


def fault_line(fault: Fault) -> str:
    """One fault for the terminal: "B7 “2 dzo”: ..."."""
    stands = f" “{fault.stands[:60]}”" if fault.stands else ""
    return f"{fault.place}{stands}: {fault.why}"


def headings_left_out(matches: Sequence[Match]) -> str:
    """ "Left out, as you said: E “Farbe”."; "" where every column is taken."""
    out = [f"{column_letter(match.at)} “{match.heading}”" for match in matches if match.sure and not match.column]
    return f"Left out, as you said: {', '.join(out)}." if out else ""
