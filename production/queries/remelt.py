"""What lies for remelt, by wax and colour, reckoned from gradings and remelted seconds."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.db.models import F, OuterRef, Q, QuerySet, Subquery, Sum

from inventory.models import Candle, Colour, Movement, Wax
from production.models import Grading, Remelt, WickEnds
from production.wax_balance import Tub
from production.wax_drawn import frame_grams

Bath = tuple[int, int]  # keys of wax and colour


@dataclass(frozen=True)
class Lying:
    """A row of the page: wax of one colour."""

    wax: Wax
    colour: Colour
    tub: Tub
    looked_at: datetime | None

    @property
    def name(self) -> str:
        return f"{self.wax}, {self.colour.name.lower()}"


def lying_for_remelt() -> list[Lying]:
    """Every wax and colour of which something was ever put aside or weighed in, the most first. Six queries."""
    looks, sums = _looks(), Counter()
    for kind, rows in (("graded", _graded()), ("seconds", _seconds()), ("weighed", _weighed())):
        for bath, grams in rows:
            sums[bath, kind] += grams
    waxes, colours = Wax.objects.in_bulk(), Colour.objects.in_bulk()
    found = []
    for wax, colour in {bath for bath, _ in sums} | set(looks):
        look = looks.get((wax, colour))
        tub = Tub(look.left if look else 0, *(sums[(wax, colour), kind] for kind in ("graded", "seconds", "weighed")))
        found.append(Lying(waxes[wax], colours[colour], tub, look.at if look else None))
    return sorted(found, key=lambda row: (-row.tub.left, row.wax.name, row.colour.name))


def _looks() -> dict[Bath, Remelt]:
    """By bath: the last weighing after which somebody looked how much was left."""
    rows = Remelt.objects.filter(left__isnull=False).order_by("pk")
    return {(row.wax_id, row.colour_id): row for row in rows}


def _since(wax: str, colour: str) -> Q:
    """Rows after the last look at the tub of that wax and colour; all where nobody looked."""
    last = Remelt.objects.filter(left__isnull=False, wax=OuterRef(wax), colour=OuterRef(colour)).order_by("-pk")
    return Subquery(last.values("at")[:1])


def _graded() -> Iterable[tuple[Bath, int]]:
    rows = Grading.objects.filter(remelt__gt=0).annotate(look=_since("frame__candle__wax", "frame__candle__colour"))
    return _weights(_later(rows).values_list("frame__candle").annotate(pairs=Sum("remelt")))


def _seconds() -> Iterable[tuple[Bath, int]]:
    """Pairs that went out of their lots to be melted: seconds nobody bought, and firsts that spoiled."""
    rows = Movement.objects.filter(kind="remelted").annotate(look=_since("lot__candle__wax", "lot__candle__colour"))
    return _weights(_later(rows).values_list("lot__candle").annotate(pairs=-Sum("pairs")))


def _weighed() -> Iterable[tuple[Bath, int]]:
    rows = _later(Remelt.objects.annotate(look=_since("wax", "colour")))
    return [
        ((wax, colour), grams) for wax, colour, grams in rows.values_list("wax", "colour").annotate(n=Sum("grams"))
    ]


def _later(rows: QuerySet) -> QuerySet:
    return rows.filter(Q(look=None) | Q(at__gt=F("look"))).order_by()


def _weights(rows: Iterable[tuple[int, int]]) -> list[tuple[Bath, int]]:
    """(bath, grams) of pairs by candle; one query for the candles."""
    pairs = dict(rows)
    candles = Candle.objects.filter(pk__in=pairs).select_related("wax")
    return [((row.wax_id, row.colour_id), frame_grams(pairs[row.pk], row.grams_a_pair)) for row in candles]


def tub_of(wax: Wax, colour: Colour) -> Tub:
    found = (row.tub for row in lying_for_remelt() if (row.wax, row.colour) == (wax, colour))
    return next(found, Tub())


def ends_remelted() -> int:
    """Grams of wick ends put aside for remelt, of whatever colour: nobody wrote down which. One query."""
    return -WickEnds.objects.filter(kind="remelted").aggregate(n=Sum("grams", default=0))["n"]


def remelts() -> QuerySet[Remelt]:
    return Remelt.objects.select_related("lot__material", "wax", "colour", "person")
