"""What lies in the stockroom. Reads only; what changes it is in inventory/domain/lots.py."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db.models import Aggregate, Count, Exists, F, Min, OuterRef, Q, QuerySet, Subquery, Sum, Window
from django.db.models.functions import Coalesce

from inventory.models import FIRSTS, SECONDS, Candle, Lot, Movement

FREE = F("on_hand") - F("set_aside")
# After ten years nearly every lot is empty: what asks only for those that hold pairs has an index of them alone.
HELD = Lot.objects.filter(on_hand__gt=0).order_by()
SHOWN = ("code", "name", "length_mm", "base_mm", "tip_mm", "colour__hex", "shelf__code")


@dataclass(frozen=True)
class Held:
    """What is held of one candle, in pairs."""

    firsts: int = 0
    aside: int = 0  # of the firsts
    seconds: int = 0
    oldest: date | None = None  # day of dipping of the oldest firsts

    @property
    def free(self) -> int:
        """Firsts that nobody has been promised."""
        return self.firsts - self.aside


@dataclass(frozen=True)
class Stock:
    """What the whole stockroom holds: by candle, and in pairs and lots."""

    by_candle: dict[int, Held]  # of those of which pairs are held
    shelves: int  # that firsts lie on
    seconds_lots: int

    @property
    def firsts(self) -> int:
        return sum(held.firsts for held in self.by_candle.values())

    @property
    def free(self) -> int:
        return sum(held.free for held in self.by_candle.values())

    @property
    def seconds(self) -> int:
        return sum(held.seconds for held in self.by_candle.values())

    @property
    def oldest(self) -> date | None:
        return min((held.oldest for held in self.by_candle.values() if held.oldest), default=None)


def whole_stock() -> Stock:
    """The stockroom's figures for its table and for a sentence. One query."""
    figures, shelves, seconds_lots = defaultdict(dict), set(), 0
    rows = HELD.values_list("candle", "grade", "shelf")
    sums = rows.annotate(Sum("on_hand"), Sum("set_aside"), Count("pk"), Min("made_on"))
    for candle, grade, shelf, on_hand, aside, lots, made_on in sums:
        found = figures[candle]
        if grade == SECONDS:
            found["seconds"] = found.get("seconds", 0) + on_hand
            seconds_lots += lots
        else:
            found["firsts"] = found.get("firsts", 0) + on_hand
            found["aside"] = found.get("aside", 0) + aside
            found["oldest"] = min(made_on, found.get("oldest", made_on))
            shelves.add(shelf)
    by_candle = {candle: Held(**found) for candle, found in figures.items()}
    return Stock(by_candle, len(shelves - {None}), seconds_lots)


def bare_candles(stock: Stock) -> int:
    """How many candles of the catalogue there are no firsts of. One query."""
    with_firsts = {candle for candle, held in stock.by_candle.items() if held.firsts}
    active = Candle.objects.filter(active=True).order_by().values_list("pk", flat=True)
    return sum(candle not in with_firsts for candle in active)


def _of_candle(figure: Aggregate, grade: str) -> Subquery:
    """The figure over the lots of that grade that the outer candle has, null where it has none."""
    lots = HELD.filter(candle=OuterRef("pk"), grade=grade)
    return Subquery(lots.values("candle").annotate(figure=figure).values("figure"))


FIGURES = {
    "firsts": Coalesce(_of_candle(Sum("on_hand"), FIRSTS), 0),
    "aside": Coalesce(_of_candle(Sum("set_aside"), FIRSTS), 0),
    "free": Coalesce(_of_candle(Sum(FREE), FIRSTS), 0),
    "seconds": Coalesce(_of_candle(Sum("on_hand"), SECONDS), 0),
    "oldest": _of_candle(Min("made_on"), FIRSTS),
}


def with_held(candles: QuerySet[Candle], *figures: str) -> QuerySet[Candle]:
    """The candles with these figures of `Held`: to sort by one, or where one candle or one figure is wanted."""
    return candles.annotate(**{name: FIGURES[name] for name in figures})


def candles_by_code() -> QuerySet[Candle]:
    """All candles there ever were, with what a row shows of them."""
    return Candle.objects.select_related("wax", "colour", "shelf").order_by("code")


def stocked_candles() -> QuerySet[Candle]:
    """The candles of the catalogue, as far as the stockroom shows them. Those no longer in it are there as long as
    pairs of them are.
    """
    candles = Candle.objects.select_related("colour", "shelf").only(*SHOWN).order_by("code")
    return candles.filter(Q(active=True) | Exists(HELD.filter(candle=OuterRef("pk"))))


def all_lots() -> QuerySet[Lot]:
    """Every lot, oldest first, with what a row shows of it."""
    return (
        Lot.objects.select_related("candle__colour", "candle__wax", "shelf")
        .annotate(free_now=F("on_hand") - F("set_aside"))
        .order_by("made_on", "pk")
    )


def history_of(lot: Lot) -> QuerySet[Movement]:
    """The lot's movements, each with `stood`: the pairs on hand after it. The last one's is the lot's own figure."""
    running = Window(Sum("pairs"), order_by=[F("at").asc(), F("pk").asc()])
    return lot.movements.select_related("person").annotate(stood=running).order_by("at", "pk")


def free_by_candle(candle_ids: Iterable[int], grade: str) -> dict[int, int]:
    """Pairs of each candle in that grade that nobody has been promised; 0 where there are none. One query."""
    free = dict.fromkeys(candle_ids, 0)
    rows = HELD.filter(candle__in=free, grade=grade).values_list("candle")
    free.update(rows.annotate(free=Sum(FREE)))
    return free


def free_lots(candle_ids: Iterable[int], grade: str) -> dict[int, list[Lot]]:
    """The lots of each candle in that grade with free pairs, oldest first; an empty list where none. One query."""
    lots: dict[int, list[Lot]] = {candle_id: [] for candle_id in candle_ids}
    for lot in HELD.filter(candle__in=lots, grade=grade, on_hand__gt=F("set_aside")).order_by("made_on", "pk"):
        lots[lot.candle_id].append(lot)
    return lots
