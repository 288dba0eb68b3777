"""Finding candles by what somebody types: a code, a part of a name, or something near to one."""

from collections.abc import Iterable

from django.db.models import Case, Count, IntegerField, Q, QuerySet, Value, When

from inventory.likeness import MOST_WORDS, likeness
from inventory.models import Candle

# Longer than any name in the catalogue: the rest of what was pasted cannot help to find a candle.
LONGEST_TEXT = 80


def matching_candles(text: str, candles: QuerySet | None = None) -> QuerySet:
    """The candles that fit what was typed, the best first: the code itself, codes that begin so, then names that
    hold every typed word somewhere ("st 18" finds "Stearin white dinner 180 x 20"). Nothing typed fits nothing.
    """
    candles = Candle.objects.filter(active=True) if candles is None else candles
    text = _tidy(text)
    if not text:
        return candles.none()
    in_name = Q()
    for word in text.split()[:MOST_WORDS]:
        in_name &= Q(name__icontains=word)
    rank = Case(
        When(code__iexact=text, then=Value(0)),
        When(code__istartswith=text, then=Value(1)),
        When(name__istartswith=text, then=Value(2)),
        default=Value(3),
        output_field=IntegerField(),
    )
    return candles.filter(Q(code__istartswith=text) | in_name).order_by(rank, "code")


def find_candles(text: str, limit: int = 8) -> list[Candle]:
    """At most `limit` candles of the catalogue that fit what was typed, best first. One query."""
    return list(matching_candles(text).select_related("wax", "colour")[:limit])


def nearest_candles(text: str, limit: int = 3, among: Iterable[Candle] | None = None) -> list[Candle]:
    """The candles that look most like `text`, best first: for what was not understood, so it always names some.

    `among` spares the query where many texts are asked one after the other.
    """
    if among is None:
        among = Candle.objects.filter(active=True).select_related("wax", "colour")
    text = _tidy(text)
    return sorted(among, key=lambda candle: (-likeness(text, candle.code, candle.name), candle.code))[:limit]


def whole_catalogue() -> dict[str, int]:
    """How many candles, waxes and colours are in the catalogue, and how many candles have gone from it. One query."""
    active = Q(active=True)
    return Candle.objects.aggregate(
        candles=Count("pk", filter=active),
        waxes=Count("wax", distinct=True, filter=active),
        colours=Count("colour", distinct=True, filter=active),
        gone=Count("pk", filter=~active),
    )


def _tidy(text: str) -> str:
    """Blanks made single, NUL bytes (which PostgreSQL refuses) taken out, cut to a length that makes sense."""
    return " ".join(text.replace("\x00", "")[:LONGEST_TEXT].split())
