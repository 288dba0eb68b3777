"""What a scanner or a hand types for a code. No Django here: text in, codes out.

A label's GS1-128 holds several things at once: "]C1" and the identifiers with their data in one string, or the same
with brackets as it is printed beneath the bars. Of these, 10 names a lot and 00 a box (see inventory/gs1.py).
"""

import re

BRACKETED = re.compile(r"\((\d{2,4})\)([^(]*)")
# Data of these lengths follow the identifier; all others run to the separator or the end.
LENGTHS = {"00": 18, "01": 14, "02": 14, "310": 7}
OPEN = ("10", "37")
NAMES_A_LOT, NAMES_A_BOX = "10", "00"
SEPARATOR = "\x1d"
SYMBOL = re.compile(r"^\](C1|e0|d2|E0|A0|Q3)")
LONGEST = 80


def codes_in(typed: str) -> list[str]:
    """The codes that what was typed may mean, the most likely first; an empty list for nothing.

    "(02)0629...(37)24(10)F26-1125-03" means its lot; "F26-1125-03" means itself.
    """
    text = SYMBOL.sub("", typed.replace("\x00", "").strip()[:LONGEST])
    plain = " ".join(text.replace(SEPARATOR, " ").split())
    if not plain:
        return []
    elements = BRACKETED.findall(text) or _unbracketed(text)
    named = [data.strip() for ai, data in elements if ai == NAMES_A_LOT]
    named += [data.strip() for ai, data in elements if ai == NAMES_A_BOX]
    return list(dict.fromkeys(code for code in (*named, plain) if code))


def _unbracketed(text: str) -> list[tuple[str, str]]:
    """Identifiers and data of a bare string; nothing where it does not read as one to its end."""
    found = []
    while text:
        text = text.removeprefix(SEPARATOR)
        ai = next((ai for ai in (*LENGTHS, *OPEN) if text.startswith(ai)), None)
        if ai is None:
            return []
        rest = text[len(ai) :]
        size = LENGTHS.get(ai) or len(rest.split(SEPARATOR)[0])
        data, text = rest[:size], rest[size:]
        if not data or (ai in LENGTHS and not (len(data) == size and data.isdecimal())):
            return []
        found.append((ai, data))
    return found
