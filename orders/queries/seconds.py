"""What lies on the seconds shelf and is free, by candle."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db.models import F

from inventory.models import SECONDS, Candle, Lot
from orders.domain.pricing import book_of_prices, item_of
from orders.money import NOUGHT
from orders.prices import price_seconds


@dataclass
class ShelfRow:
    """Free seconds of one candle. `typed` and `error` are what somebody asked for and why that cannot be."""

    candle: Candle
    price: Decimal
    price_from: str
    today: date
    lots: list[Lot] = field(default_factory=list)
    typed: str = ""
    error: str = ""

    @property
    def free(self) -> int:
        return sum(lot.free for lot in self.lots)

    @property
    def faults(self) -> list[tuple[Lot, int]]:
        """Each lot with its age in days, the oldest first."""
        return [(lot, (self.today - lot.made_on).days) for lot in self.lots]

    @property
    def oldest(self) -> int:
        """Days since the oldest of them was dipped."""
        return max(days for _, days in self.faults)


def shelf_rows(today: date) -> list[ShelfRow]:
    """Every candle with free seconds, by code, at what they cost a shop without group or agreement, in GBP."""
    lots = Lot.objects.filter(grade=SECONDS, on_hand__gt=F("set_aside"))
    lots = lots.select_related("candle__colour", "candle__wax")
    book = book_of_prices(None, today)
    rows: dict[int, ShelfRow] = {}
    for lot in lots.order_by("candle__code", "made_on", "pk"):
        if lot.candle_id not in rows:
            price = price_seconds(book, item_of(lot.candle))
            rows[lot.candle_id] = ShelfRow(lot.candle, price.price, price.words, today)
        rows[lot.candle_id].lots.append(lot)
    return list(rows.values())


def worth(rows: Iterable[ShelfRow]) -> Decimal:
    """GBP without VAT and discount."""
    return sum((row.free * row.price for row in rows), NOUGHT)
