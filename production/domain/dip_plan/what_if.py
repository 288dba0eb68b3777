"""What a trial changes about the workshop before it is planned, without touching the book.

A trial is a dict of plain values, as a search keeps it: {"order": [{"candle": pk, "pairs": 48, "due": "2026-12-04"}],
"vats_out": [pk], "vats_more": [pk], "carousels_more": 1, "days_worked": ["2026-11-28"], "hands": 1}. What is not named
stays as it is; `hands` and carousels are added, and a vat more for each named, which is the image of that one.
"""

from datetime import date, timedelta

from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.models import Candle
from inventory.words import counted, in_pairs
from production.models import Vat

MOST_ROWS, MOST_PAIRS, MOST_MORE_HANDS, MOST_MORE = 200, 100_000, 20, 4
KNOWN = ("order", "vats_out", "vats_more", "carousels_more", "days_worked", "hands")
MOST_AHEAD = timedelta(days=366)


def check_changes(what_if: dict) -> dict:
    """The trial as it is kept: only what changes something. ValidationError by field; {} changes nothing."""
    unknown = set(what_if) - set(KNOWN)
    if unknown:
        raise ValidationError(f"Nobody can try that: {', '.join(sorted(unknown))}.")
    found = {
        "order": _order(what_if.get("order") or []),
        "vats_out": _vats(what_if.get("vats_out") or [], "vats_out"),
        "vats_more": _vats(what_if.get("vats_more") or [], "vats_more"),
        "carousels_more": _more(what_if.get("carousels_more") or 0),
        "days_worked": _days(what_if.get("days_worked") or []),
        "hands": _hands(what_if.get("hands") or 0),
    }
    return {name: value for name, value in found.items() if value}


def _order(rows) -> list[dict]:
    if len(rows) > MOST_ROWS:
        raise ValidationError({"order": f"At most {MOST_ROWS} rows."})
    known = set(Candle.objects.filter(pk__in=[_whole(row.get("candle")) for row in rows]).values_list("pk", flat=True))
    found = []
    for row in rows:
        candle, pairs = _whole(row.get("candle")), _whole(row.get("pairs"))
        if candle not in known:
            raise ValidationError({"order": "One of the candles is not in the catalogue."})
        if not 1 <= pairs <= MOST_PAIRS:
            raise ValidationError({"order": f"Between 1 and {MOST_PAIRS:,} pairs."})
        found.append({"candle": candle, "pairs": pairs, "due": _day(row.get("due"), "order").isoformat()})
    return found


def _vats(keys, field: str) -> list[int]:
    keys = sorted({_whole(key) for key in keys})
    if Vat.objects.filter(pk__in=keys).count() != len(keys):
        raise ValidationError({field: "One of the vats is not there any more."})
    return keys


def _more(carousels) -> int:
    carousels = _whole(carousels)
    if not 0 <= carousels <= MOST_MORE:
        raise ValidationError({"carousels_more": f"At most {MOST_MORE} carousels more."})
    return carousels


def _days(days) -> list[str]:
    return sorted({_day(day, "days_worked").isoformat() for day in days})


def _hands(hands) -> int:
    hands = _whole(hands)
    if not -MOST_MORE_HANDS <= hands <= MOST_MORE_HANDS:
        raise ValidationError({"hands": f"At most {MOST_MORE_HANDS} pairs of hands more or fewer."})
    return hands


def _whole(value) -> int:
    """A whole number; -1 for what is none: no key, no pairs."""
    try:
        return int(value)
    except (TypeError, ValueError):
        return -1


def _day(value, field: str) -> date:
    try:
        day = value if isinstance(value, date) else date.fromisoformat(str(value))
    except ValueError:
        raise ValidationError({field: "A day, such as 2026-12-04."}) from None
    today = timezone.localdate()
    if not today <= day <= today + MOST_AHEAD:
        raise ValidationError({field: "A day from today on, within a year."})
    return day


def in_words(what_if: dict) -> str:
    """ "with 96 pairs more by 4 Dec, South vat out, Saturday 28 Nov worked, 1 more pair of hands" """
    parts = []
    if rows := what_if.get("order"):
        by = date.fromisoformat(max(row["due"] for row in rows))
        parts.append(f"{in_pairs(sum(row['pairs'] for row in rows))} more by {by.day} {by:%b}")
    if keys := what_if.get("vats_out"):
        names = Vat.objects.filter(pk__in=keys).values_list("name", flat=True)
        parts.append(f"{', '.join(names)} out")
    if keys := what_if.get("vats_more"):
        parts += [f"a vat more like {name}" for name in Vat.objects.filter(pk__in=keys).values_list("name", flat=True)]
    if carousels := what_if.get("carousels_more"):
        parts.append(counted(carousels, "carousel more", "carousels more"))
    days = [date.fromisoformat(day) for day in what_if.get("days_worked", ())]
    parts += [f"{day:%A} {day.day} {day:%b} worked" for day in days]
    if hands := what_if.get("hands"):
        more = "more" if hands > 0 else "fewer"
        parts.append(counted(abs(hands), f"{more} pair of hands", f"{more} pairs of hands"))
    return f"with {', '.join(parts)}" if parts else "as things are"
