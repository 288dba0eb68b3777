"""What an order must be before it is taken. Each check raises ValidationError for the field it is about."""

from collections.abc import Iterable, Sequence
from datetime import date
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.models import Candle
from inventory.words import day
from orders import money
from orders.domain.pricing import carriage_of
from orders.models import MOST_PAIRS, Address, Order, OrderLine, Shop
from orders.models.price import MOST_DISCOUNT

# Nobody promises candles further ahead than the Christmas after next.
FURTHEST_MONTHS = 18


def furthest_day(today: date) -> date:
    """The last ship-by date taken: 18 months on, the 28th where the month is shorter."""
    months = today.month - 1 + FURTHEST_MONTHS
    return date(today.year + months // 12, months % 12 + 1, min(today.day, 28))


def check_ship_by(ship_by: date | None) -> None:
    today = timezone.localdate()
    if ship_by is None:
        raise ValidationError({"ship_by": "When must it leave? Give a ship-by date."})
    if ship_by < today:
        raise ValidationError({"ship_by": f"{day(ship_by)} is past. The earliest is today."})
    if ship_by > furthest_day(today):
        raise ValidationError({"ship_by": f"Too far ahead: at the latest {day(furthest_day(today))}."})


def check_reference(reference: str, shop: Shop) -> None:
    if shop.reference_required and not reference.strip():
        raise ValidationError({"reference": f"{shop.name} needs its own reference on every order."})


def check_address(deliver_to: Address | None, shop: Shop) -> None:
    if deliver_to is None:
        raise ValidationError({"deliver_to": "Where does it go? Choose a delivery address of the shop."})
    if deliver_to.shop_id != shop.pk or deliver_to.kind != "delivery":
        raise ValidationError({"deliver_to": f"That is not a delivery address of {shop.name}."})


def check_shop(shop: Shop) -> None:
    if not shop.active:
        raise ValidationError({"shop": f"{shop.name} is no longer among the shops. Make it active again first."})


def check_pairs(pairs: int, *, least: int = 1) -> None:
    if not least <= pairs <= MOST_PAIRS:
        raise ValidationError({"pairs": f"Between {least} and {MOST_PAIRS:,} pairs on a line."})


def check_candles(candles: Iterable[Candle]) -> None:
    gone = sorted({candle.code for candle in candles if not candle.active})
    if gone:
        raise ValidationError({"rows": f"No longer in the catalogue: {', '.join(gone)}. Strike those rows out."})


def check_amounts(order: Order, lines: Iterable[tuple[Candle, int, Decimal]]) -> None:
    """Refuse (candle, pairs, price) lines whose total, with VAT and carriage, would not fit an invoice's columns."""
    lines = list(lines)
    goods = sum((pairs * price for _, pairs, price in lines), Decimal(0))
    carriage = carriage_of(order, goods, [(candle, pairs) for candle, pairs, _ in lines]).amount
    if carriage > money.MOST_CARRIAGE:
        raise ValidationError(
            {"rows": f"Carriage would come to {carriage:,.2f}. Look at the pairs, or at how the shop pays carriage."}
        )
    # Twice the goods: no VAT rate reaches 100 %, so what fits here fits whatever the rate of the day.
    if 2 * (goods + carriage) > money.MOST:
        raise ValidationError(
            {"rows": f"{goods:,.2f} is more than this book can invoice. Split the order, or look at the pairs again."}
        )


def check_priced(currency: str, lines: Iterable[tuple[Candle, Decimal]]) -> None:
    """Refuse (candle, price) lines that nothing prices in the order's currency: their price is nought."""
    bare = sorted({candle.code for candle, price in lines if not price})
    if bare:
        raise ValidationError(
            {"rows": f"No price in {currency}: {', '.join(bare)}. Put it on a list in {currency}, or agree a price."}
        )


def check_order_discount(percent: Decimal, reason: str) -> None:
    """A discount on one order lies between 0 and 90 % and says what it is for."""
    if not 0 <= percent <= MOST_DISCOUNT:
        raise ValidationError({"order_discount": f"Between 0 and {MOST_DISCOUNT} %."})
    if percent and not reason.strip():
        raise ValidationError({"order_discount_reason": "Say what the discount is for; it stands on the papers."})


def check_all(order: Order, lines: Sequence[OrderLine]) -> None:
    """Everything a confirmed order needs, all faults told at once. `lines`: all of it, with candle and wax."""
    faults: dict[str, list[str]] = {}
    checks = [
        lambda: check_shop(order.shop),
        lambda: check_ship_by(order.ship_by),
        lambda: check_reference(order.reference, order.shop),
        lambda: check_address(order.deliver_to, order.shop),
        lambda: _check_rows(order, lines),
        # What lies in a box of seconds is there, whether or not the candle is still made.
        lambda: check_candles(line.candle for line in lines if not line.seconds_box_id),
        lambda: check_priced(order.shop.currency, [(line.candle, line.price) for line in lines]),
        lambda: check_order_discount(order.order_discount, order.order_discount_reason),
        lambda: check_amounts(order, [(line.candle, line.pairs, line.price) for line in lines]),
    ]
    for check in checks:
        try:
            check()
        except ValidationError as error:
            for field, messages in error.message_dict.items():
                faults.setdefault(field, []).extend(messages)
    if faults:
        raise ValidationError(faults)


def _check_rows(order: Order, lines: Sequence[OrderLine]) -> None:
    if order.unread:
        count = len(order.unread)
        rows = "One row is" if count == 1 else f"{count} rows are"
        raise ValidationError({"rows": f"{rows} not understood yet. Choose the candle or strike them out."})
    if not lines:
        raise ValidationError({"rows": "Nothing is ordered yet. Type a code and the pairs."})
