"""What is typed into a field: things that could stand there, and things that should not."""

from datetime import timedelta
from random import Random

from django.utils import timezone

from tests.hostile.fuzz_forms import Field

# Bytes no right browser sends: half a character, a lone surrogate as some programs write it.
BROKEN_BYTES = ("%C3", "%ED%A0%80", "%FF%FE", "%00", "%F0%9F")
WRONG = (
    "", " ", "\t\r\n", "x", "-1", "-0", "0", "1.5", "1,5", "1e5", "1e309", "NaN", "nan", "Infinity", "-inf", "0x10",
    "９９", "१२", "²", "½", "1_000", "+7", "12 pairs", "99999999", "2147483648", "9223372036854775808", "9" * 40,
    "0." + "0" * 30 + "1", "1" * 400, "9999999999.99", "-0.00", "£5", "1 000", "true", "None", "null", "[]", "{}",
    "2026-02-30", "0001-01-01", "9999-12-31", "10000-01-01", "1900-01-01", "31/12/2026", "tomorrow", "2026-W01-1",
    "24:00", "99:99", "2026-01-01T99:00", "\x00", "a\x00b", "\ud800", "a\udfffb", "\u202eevil", "\u200b", "\ufeff",
    "e\u0301\u0301\u0301", "\U0001f56f", "\u2028", "<script>alert(1)</script>", '"><img src=x onerror=alert(1)>',
    "{{ 7|add:7 }}", "{% load x %}", "'; DROP TABLE orders_order; --", '" OR 1=1', "%", "_", "\\", "%s", "%(a)s",
    "../../etc/passwd", "file:///etc/passwd", "javascript:alert(1)", "=1+1", "@SUM(A1)", "a\r\nBcc: x@lamp.example",
    "a@b", "a@lamp.example\nb@lamp.example", "x" * 300, "x" * 5000, "word " * 2000, "\n" * 500, "é" * 255,
    "#12345", "#GGGGGG", "ffffffff-ffff-ffff-ffff-ffffffffffff", "00000000000000000000000000000000",
)  # fmt: skip
# What breaks sums, clocks and columns, by the kind of field that leads there.
EDGES = {
    "date": ("9999-12-31", "0001-01-01", "9999-01-01", "2026-02-30", "1899-12-31"),
    "datetime-local": ("9999-12-31T23:59", "0001-01-01T00:00", "2026-03-29T01:30", "2026-10-25T01:30"),
    "time": ("24:00", "00:00", "23:59", "9:5"),
    "numeric": ("0", "-1", "2147483647", "2147483648", "9223372036854775807", "9" * 25, "1.0", "0012", "\u0663"),
    "decimal": (
        "0",
        "0.001",
        "-0.01",
        "99999999.99",
        "1e5",
        "1E+30",
        "9" * 25,
        "NaN",
        "Infinity",
        "0,5",
        ".",
        "0.000001",
    ),
    "text": ("\x00", "x" * 256, "y" * 5000, "\u202e", "   ", "9" * 25, "9999-12-31", "-1", "a\r\nb"),
}
WORDS = ("Wexcombe", "Della Finch", "by the window", "bent at the tip", "the blue one", "A long row of pairs")
RIGHT_BY_NAME = {
    "email": "till@lamp.example", "phone": "01632 960123", "postcode": "ZZ9 1AA", "country": "GB", "username": "finch",
    "password": "beeswax-and-wick-7", "password_again": "beeswax-and-wick-7", "old_password": "beeswax-and-wick-7",
    "pin": "2468", "colour_hex": "#eeddcc", "vat_number": "", "gtin": "",
}  # fmt: skip


def right(rng: Random, control: Field, words: list[str]) -> list[str]:
    """Values that may well be taken."""
    if control.kind == "hidden":
        return control.untouched
    if control.kind in {"select", "radio"}:
        some = [choice for choice in control.choices if choice] or control.choices
        return [rng.choice(some)] if some and (control.kind == "select" or rng.random() < 0.6) else control.untouched
    if control.kind == "checkbox":
        return control.choices if rng.random() < 0.5 else []
    if control.kind == "file":
        return []
    if any(control.untouched) and rng.random() < 0.6:
        return control.untouched
    return [_typed(rng, control, words)]


def _typed(rng: Random, control: Field, words: list[str]) -> str:
    if control.choices and rng.random() < 0.8:
        return rng.choice(control.choices)
    for part, value in RIGHT_BY_NAME.items():
        if control.name == part or control.name.endswith(f"-{part}"):
            return value
    day = timezone.localdate() + timedelta(days=rng.choice((0, 0, 0, 1, 3, 7, 14, 30, -1, -7)))
    number = rng.choice((0, 1, 1, 2, 3, 6, 12, 24, 48, rng.randrange(200)))
    return {
        "date": day.isoformat(),
        "datetime-local": f"{day.isoformat()}T09:30",
        "time": rng.choice(("07:30", "09:00", "16:45")),
        "email": "till@lamp.example",
        "color": "#eeddcc",
        "numeric": str(number),
        "decimal": rng.choice((str(number), f"{number}.5", "8.50", "72", "0.91")),
    }.get(control.keypad if control.kind == "text" and control.keypad in {"numeric", "decimal"} else control.kind) or (
        rng.choice(words) if words and rng.random() < 0.5 else rng.choice(WORDS)
    )


def wrong(rng: Random, control: Field, words: list[str]) -> list[str]:
    """Values that should be refused, or do no harm: what is typed by mistake and what is sent by malice."""
    if rng.random() < 0.1:
        return []
    if rng.random() < 0.1:
        return [*right(rng, control, words), rng.choice(WRONG)]
    if control.kind in {"hidden", "select", "radio", "checkbox"} and rng.random() < 0.5:
        # Somebody else's row, or none.
        return [str(rng.choice((0, -1, 1, 2, 3, 4, 5, 9, 99, 2**31, 2**63, 10**30)))]
    if words and rng.random() < 0.1:
        return [rng.choice(words)]
    if rng.random() < 0.5:
        typed = control.keypad if control.keypad in EDGES else control.kind
        return [rng.choice(EDGES.get(typed, EDGES["text"]))]
    return [rng.choice(WRONG)]
