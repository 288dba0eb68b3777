"""Boxes of seconds as pages show them: on the shelf with their price, and on an order."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal

from django.db.models import Q, Sum

from inventory.models import Lot
from orders.domain.seconds_pricing import boxes_with_contents, price_boxes, reckoned_g
from orders.models import Order, OrderLine, SecondsBox, SecondsBoxContent, Shop
from orders.models.order import DRAFT
from orders.models.seconds_box import ON_SHELF, SOLD
from orders.money import NOUGHT
from orders.prices import Price
from orders.seconds_words import faults_in_words, weights_in_words


@dataclass
class ShelfBox:
    """A box with what it costs on a day. `ticked`: somebody chose it on a form."""

    box: SecondsBox
    price: Price
    today: date
    ticked: bool = False

    @property
    def contents(self) -> list:
        return list(self.box.contents.all())

    @property
    def pairs(self) -> int:
        return sum(one.pairs for one in self.contents)

    @property
    def candles(self) -> list[tuple]:
        """(candle, pairs), in the order of the contents."""
        found: dict = {}
        for one in self.contents:
            found[one.lot.candle] = found.get(one.lot.candle, 0) + one.pairs
        return list(found.items())

    @property
    def faults(self) -> str:
        return faults_in_words((one.lot.fault, one.pairs) for one in self.contents)

    @property
    def oldest(self) -> int:
        """Days since the oldest of them was dipped."""
        return max((self.today - one.lot.made_on).days for one in self.contents)

    @property
    def reckoned_g(self) -> Decimal:
        """Weight in g by size and wax of the candles."""
        return reckoned_g(self.candles)

    @property
    def weights(self) -> str:
        return weights_in_words(self.box.weight_g, self.reckoned_g)


def shelf_boxes(today: date, shop: Shop | None = None) -> list[ShelfBox]:
    """Every box that stands on the shelf, the oldest made up first, at what it costs this shop (None: any, in GBP)."""
    return priced(list(boxes_with_contents(SecondsBox.objects.filter(state=ON_SHELF))), today, shop)


def priced(boxes: Sequence[SecondsBox], today: date, shop: Shop | None = None) -> list[ShelfBox]:
    prices = price_boxes(boxes, shop, today)
    return [ShelfBox(box, price, today) for box, price in zip(boxes, prices, strict=True)]


def boxes_in_drafts() -> list[SecondsBox]:
    """Boxes off the shelf that no confirmed order holds yet."""
    rows = SecondsBox.objects.filter(state=SOLD, order__status=DRAFT).select_related("order__shop")
    return list(rows.order_by("order__number", "pk"))


@dataclass
class OrderedBox:
    """A box as it stands on an order."""

    box: SecondsBox
    pairs: int = 0
    amount: Decimal = NOUGHT
    holds: dict[str, int] = field(default_factory=dict)

    @property
    def in_words(self) -> str:
        """ "7 IV250, 5 ST100"."""
        return ", ".join(f"{pairs} {code}" for code, pairs in self.holds.items())


def boxed_lines(order: Order) -> list[OrderLine]:
    """The order's lines whose pairs lie in boxes of seconds."""
    return list(order.lines.exclude(seconds_box=None).select_related("seconds_box", "candle__wax"))


def boxes_of_lines(lines: Iterable[OrderLine]) -> list[OrderedBox]:
    """Those lines by their box; its price is the sum of theirs, to the penny."""
    found: dict[int, OrderedBox] = {}
    for line in lines:
        row = found.setdefault(line.seconds_box_id, OrderedBox(line.seconds_box))
        row.pairs += line.pairs
        row.amount += line.pairs * line.price
        row.holds[line.candle.code] = row.holds.get(line.candle.code, 0) + line.pairs
    return list(found.values())


def all_boxes() -> list[SecondsBox]:
    """Every box there ever was, the newest first, each with `pairs`."""
    rows = SecondsBox.objects.select_related("kind", "order__shop", "made_up_by").annotate(
        pairs=Sum("contents__pairs")
    )
    return list(rows.order_by("-pk"))


def amount_of_box(box: SecondsBox) -> Decimal | None:
    """What a sold box stands for on its order, in the order's currency; None where it is on none."""
    lines = OrderLine.objects.filter(seconds_box=box, order=box.order_id) if box.order_id else ()
    return sum((line.pairs * line.price for line in lines), NOUGHT) if lines else None


def stands_on_order(box: SecondsBox) -> str:
    """What a sold box is doing: "in a draft", "to be packed", "packed", "left"; empty where it is on no order."""
    if not box.order_id:
        return ""
    if box.order.status == DRAFT:
        return "in a draft"
    lines = OrderLine.objects.filter(seconds_box=box, order=box.order_id)
    if lines.filter(sent__gt=0).exists():
        return "left"
    return "packed" if lines.filter(promises__packed__gt=0).exists() else "to be packed"


def boxes_holding(lot: Lot) -> list[SecondsBoxContent]:
    """What of a lot lies in boxes that no confirmed order has."""
    held = Q(box__state=ON_SHELF) | Q(box__state=SOLD, box__order__status=DRAFT)
    return list(lot.in_seconds_boxes.filter(held).select_related("box__order__shop").order_by("box"))
