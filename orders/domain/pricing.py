"""What a pair costs a shop, and where that price came from. Discount and VAT are added up in orders/money.py."""

from decimal import ROUND_HALF_UP, Decimal

from inventory.models import SECONDS, Candle, Workshop
from orders.models import Shop

PENNY = Decimal("0.01")


def price_of(candle: Candle, shop: Shop, grade: str) -> tuple[Decimal, str]:
    """Price a pair in GBP without VAT, before the shop's discount, and the words that say where it came from.

    Firsts: the trade price. Seconds: the workshop's share of it, half a penny rounded up; never under a penny.
    """
    return price_list(grade)(candle)


def price_list(grade: str):
    """A function candle -> (price, where from) that reads the workshop's share once for many candles."""
    if grade != SECONDS:
        return lambda candle: (candle.trade_price, "trade price")
    share = seconds_share()
    return lambda candle: (seconds_price(candle.trade_price, share), f"seconds, {share:.0%} of {candle.trade_price}")


def seconds_price(trade_price: Decimal, share: Decimal) -> Decimal:
    """GBP a pair of seconds: the share of the trade price, half-up to the penny, at least a penny."""
    return max(PENNY, (trade_price * share).quantize(PENNY, ROUND_HALF_UP))


def seconds_share() -> Decimal:
    """The workshop's share, or the field's own default in a book that has not been set up."""
    share = Workshop.objects.filter(pk=1).values_list("seconds_share", flat=True).first()
    return Workshop._meta.get_field("seconds_share").default if share is None else share
