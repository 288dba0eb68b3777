"""What lies on the seconds shelf and is free, by candle and by lot."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db.models import F, QuerySet

from inventory.models import SECONDS, Candle, Lot
from orders.domain.pricing import book_of_prices, item_of
from orders.money import NOUGHT
from orders.prices import Price, price_seconds
from orders.seconds_prices import Lying, price_second_rows
from orders.seconds_words import age_in_words


def free_lots_of_seconds() -> QuerySet[Lot]:
    """Lots of seconds with free pairs, by candle and age, with all that prices and pictures ask for."""
    lots = Lot.objects.filter(grade=SECONDS, on_hand__gt=F("set_aside"))
    return lots.select_related("candle__colour", "candle__wax", "shelf").order_by("candle__code", "made_on", "pk")


@dataclass
class ShelfRow:
    """Free seconds of one candle. `typed` and `error` are what somebody asked for and why that cannot be."""

    candle: Candle
    today: date
    lots: list[Lot] = field(default_factory=list)
    whole: Price | None = None
    typed: str = ""
    error: str = ""

    @property
    def free(self) -> int:
        return sum(lot.free for lot in self.lots)

    @property
    def price(self) -> Decimal:
        """A pair, where all that is free is taken."""
        return self.whole.price

    @property
    def price_from(self) -> str:
        return self.whole.words

    @property
    def ages(self) -> list[tuple[Lot, int]]:
        """Each lot with its age in days, the oldest first."""
        return [(lot, (self.today - lot.made_on).days) for lot in self.lots]

    @property
    def faults(self) -> list[tuple[int, str, str]]:
        """(pairs, fault, how old in words), the most pairs first."""
        found: dict[str, list[tuple[Lot, int]]] = {}
        for lot, days in self.ages:
            found.setdefault(lot.fault, []).append((lot, days))
        rows = [
            (sum(lot.free for lot, _ in its), fault, age_in_words(days for _, days in its))
            for fault, its in found.items()
        ]
        return sorted(rows, key=lambda row: (-row[0], row[1]))

    @property
    def oldest(self) -> int:
        """Days since the oldest of them was dipped."""
        return max(days for _, days in self.ages)


def shelf_rows(today: date) -> list[ShelfRow]:
    """Every candle with free seconds, by code, at what they cost a shop without group or agreement, in GBP."""
    rows: dict[int, ShelfRow] = {}
    for lot in free_lots_of_seconds():
        rows.setdefault(lot.candle_id, ShelfRow(lot.candle, today)).lots.append(lot)
    lying = {key: [Lying(days, lot.free) for lot, days in row.ages] for key, row in rows.items()}
    asked = [(item_of(row.candle), row.free) for row in rows.values()]
    for row, price in zip(rows.values(), price_second_rows(book_of_prices(None, today), asked, lying), strict=True):
        row.whole = price
    return list(rows.values())


def worth(rows: Iterable[ShelfRow]) -> Decimal:
    """GBP without VAT and discount."""
    return sum((row.free * row.price for row in rows), NOUGHT)


@dataclass
class LotRow:
    """One lot's free seconds: `price` a pair at its age, of which `off` percent came off for it; `typed` and `error`
    as in ShelfRow."""

    lot: Lot
    days: int
    price: Price
    off: Decimal
    typed: str = ""
    error: str = ""

    @property
    def free(self) -> int:
        return self.lot.free

    @property
    def grams(self) -> Decimal:
        """What its free pairs weigh in g, by size and wax."""
        return self.lot.candle.grams_a_pair * self.lot.free


def lot_rows(lots: Iterable[Lot], today: date) -> list[LotRow]:
    """The lots (from free_lots_of_seconds) with age and price, in GBP for a shop without group or agreement."""
    book, rows = book_of_prices(None, today), []
    for lot in lots:
        days = (today - lot.made_on).days
        rows.append(LotRow(lot, days, price_seconds(book, item_of(lot.candle), days), book.seconds.off(days)))
    return rows
