"""The season's bookings, out of orders and out of what was booked before this book was begun.

A season's rows are orders of firsts, confirmed or done, to be sent within it. Everything is added up by the database:
the number of queries does not depend on seasons or orders, and only the seasons compared are read.
"""

from collections import defaultdict
from dataclasses import dataclass, field
from datetime import date

from django.db.models import Case, Count, F, IntegerField, Max, Min, Q, QuerySet, Sum, Value, When
from django.utils import timezone

from inventory.models import FIRSTS
from orders.models import BookedBefore, OrderLine, SeasonFigures, VanDay
from orders.models.order import CONFIRMED, DONE
from orders.season.booking_curve import Curve, curve_of
from orders.season.by_candle import CandleOutlook, outlook_by_candle
from orders.season.dates import SeasonDates, season_in, season_of, years_on
from orders.season.projection import Booked, Past, Projection, project
from production.models import DayOff

PAST = 2  # seasons before that are looked at, besides this one
ORDERS = {"shop": "order__shop", "placed_on": "order__placed_on", "ship_by": "order__ship_by"}
BEFORE = {"shop": "shop", "placed_on": "placed_on", "ship_by": "ship_by"}


@dataclass
class SeasonBook:
    """One season's pairs. `early`: booked up to the day that is compared, `late`: after it."""

    dates: SeasonDates
    day: date
    curve: Curve = field(default_factory=lambda: Curve(()))
    early_by_shop: dict[int, int] = field(default_factory=dict)
    late_by_shop: dict[int, int] = field(default_factory=dict)
    early_by_candle: dict[int, int] = field(default_factory=dict)
    late_by_candle: dict[int, int] = field(default_factory=dict)
    line: float = 0.0  # mean pairs of a line after the day, each weighted by its pairs
    lines_squared: int = 0

    @property
    def past(self) -> Past:
        return Past(Booked.of(list(self.early_by_shop.values())), Booked.of(list(self.late_by_shop.values())))

    @property
    def early(self) -> int:
        return sum(self.early_by_shop.values())

    @property
    def total(self) -> int:
        return self.early + sum(self.late_by_shop.values())


@dataclass
class Season:
    """This season and those before it, the last one first."""

    today: date
    now: SeasonBook
    before: list[SeasonBook]

    @property
    def dates(self) -> SeasonDates:
        return self.now.dates

    @property
    def last(self) -> SeasonBook:
        return self.before[0]

    @property
    def projection(self) -> Projection | None:
        booked = Booked.of(list(self.now.early_by_shop.values()))
        return project(booked, [book.past for book in self.before])

    def by_candle(self, sold: set[int]) -> list[CandleOutlook]:
        """Each candle's part of the projection; [] where nothing can be projected. `sold`: still in the catalogue."""
        whole = self.projection
        if whole is None:
            return []
        book = next((book for book in self.before if book.total), self.last)
        return outlook_by_candle(
            whole, now=self.now.early_by_candle, early=book.early_by_candle, late=book.late_by_candle, sold=sold,
            line=book.line,
        )  # fmt: skip


def season_figures() -> SeasonFigures:
    return SeasonFigures.objects.filter(pk=1).first() or SeasonFigures(pk=1)


def season_dates(today: date | None = None) -> list[SeasonDates]:
    """This season's days, then those of the PAST seasons before. Three queries."""
    today, figures = today or timezone.localdate(), season_figures()
    vans, off = (
        list(VanDay.objects.values_list("weekday", flat=True)),
        set(DayOff.objects.values_list("day", flat=True)),
    )
    this = season_of(today, figures.first_month, vans, off, figures.last_van)
    return [this, *(season_in(this.year - back, figures.first_month, vans, off) for back in range(1, PAST + 1))]


def season_now(today: date | None = None) -> Season:
    """This season beside the ones before, each cut at the same day of its year. Nine queries."""
    today = today or timezone.localdate()
    dates = season_dates(today)
    books = [SeasonBook(each, years_on(today, each.year - dates[0].year)) for each in dates]
    rows = OrderLine.objects.filter(order__grade=FIRSTS, order__status__in=(CONFIRMED, DONE), pairs__gt=0)
    days: list[defaultdict[date, int]] = [defaultdict(int) for _ in books]
    for source, names in ((rows, ORDERS), (BookedBefore.objects.all(), BEFORE)):
        _read(source, names, books, days)
    for book, by_day in zip(books, days, strict=True):
        book.curve = curve_of(by_day.items())
        late = sum(book.late_by_candle.values())
        book.line = book.lines_squared / late if late else 0.0
    return Season(today, books[0], books[1:])


def _read(rows: QuerySet, names: dict[str, str], books: list[SeasonBook], days: list[defaultdict[date, int]]) -> None:
    """Add the rows to the books and their days. Three queries, by day, by shop and by candle."""
    rows, early = _of_seasons(rows, names, books)
    for season, day, pairs in rows.values_list("season", names["placed_on"]).annotate(sum=Sum("pairs")):
        days[season][day] += pairs
    parts = {"before": Sum("pairs", filter=early), "after": Sum("pairs", filter=~early)}
    for season, shop, before, after in rows.values_list("season", names["shop"]).annotate(**parts):
        _add(books[season].early_by_shop, shop, before)
        _add(books[season].late_by_shop, shop, after)
    squares = Sum(F("pairs") * F("pairs"), filter=~early)
    for season, candle, before, after, squared in rows.values_list("season", "candle").annotate(
        **parts, squares=squares
    ):
        _add(books[season].early_by_candle, candle, before)
        _add(books[season].late_by_candle, candle, after)
        books[season].lines_squared += squared or 0


def _add(into: dict[int, int], key: int, pairs: int | None) -> None:
    if pairs:
        into[key] = into.get(key, 0) + pairs


def _of_seasons(rows: QuerySet, names: dict[str, str], books: list[SeasonBook]) -> tuple[QuerySet, Q]:
    """The rows of these seasons with `season`, each one's place; and which of them were booked by its day."""
    ship_by, placed_on = names["ship_by"], names["placed_on"]
    within = [Q(**{f"{ship_by}__range": (book.dates.begins, book.dates.ends)}) for book in books]
    any_of, early = Q(), Q()
    for season, book in zip(within, books, strict=True):
        any_of |= season
        early |= season & Q(**{f"{placed_on}__lte": book.day})
    which = Case(*(When(q, then=Value(n)) for n, q in enumerate(within)), output_field=IntegerField())
    return rows.filter(any_of).order_by().annotate(season=which), early


def shipped_by_week(season: Season) -> dict[date, int]:
    """Of the last season's orders placed after this day: pairs by the Monday of the week they were to be sent in, as
    days of this season. Two queries; {} where nothing came after this day."""
    found: dict[date, int] = defaultdict(int)
    book = next((book for book in season.before if book.total), season.last)
    span = (book.dates.begins, book.dates.ends)
    lines = OrderLine.objects.filter(
        order__grade=FIRSTS,
        order__status__in=(CONFIRMED, DONE),
        order__ship_by__range=span,
        order__placed_on__gt=book.day,
    )
    before = BookedBefore.objects.filter(ship_by__range=span, placed_on__gt=book.day)
    for rows, day in ((lines, "order__ship_by"), (before, "ship_by")):
        for ship_by, pairs in rows.order_by().values_list(day).annotate(sum=Sum("pairs")):
            if pairs:
                found[years_on(ship_by, season.dates.year - book.dates.year)] += pairs
    return dict(found)


def pastes() -> list[dict]:
    """What was pasted of seasons before the book: rows, pairs and days of each paste, the newest first. One query."""
    rows = BookedBefore.objects.order_by().values("submission", "made_at", "made_by__full_name")
    figures = {
        "pairs": Sum("pairs"),
        "first": Min("placed_on"),
        "last": Max("placed_on"),
        "shops": Count("shop", distinct=True),
    }
    return list(rows.annotate(**figures, rows=Count("pk")).order_by("-made_at"))
