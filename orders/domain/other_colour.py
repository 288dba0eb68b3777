"""Another colour in place of open pairs, where the shop takes one."""

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.models import Candle
from orders.domain.changing import add_line, change_pairs
from orders.domain.holding import lock_orders, open_pairs
from orders.models import OrderLine

SAME_SHAPE = ("length_mm", "base_mm", "tip_mm", "wax_id")


@transaction.atomic
def put_other_colour(*, line: OrderLine, candle: Candle, pairs: int, version: int, by) -> OrderLine:
    """Order `pairs` of `candle` on a line of its own and as many fewer of `line`. Returns the new line.

    ValidationError where the shop takes no other colour, the shape or wax differs, or fewer pairs are open.
    """
    order = lock_orders([line.order_id]).orders[line.order_id]
    line = OrderLine.objects.select_related("candle").get(pk=line.pk)
    if order.shop.other_colour == "no":
        raise ValidationError(f"{order.shop} takes no other colour.")
    if candle.pk == line.candle_id or not same_shape(line.candle, candle):
        raise ValidationError(f"{candle.name} is not the same shape and wax in another colour.")
    if not 0 < pairs <= open_pairs(line):
        raise ValidationError({"pairs": f"Between 1 and {open_pairs(line)} pairs: no more are open."})
    # The new line first: the last line of an order cannot be struck out.
    new = add_line(order=order, candle=candle, pairs=pairs, version=version, by=by)
    change_pairs(line=line, pairs=line.pairs - pairs, version=version + 1, by=by)
    return new


def same_shape(one: Candle, other: Candle) -> bool:
    """Whether two candles differ in colour only: length, base, tip (mm) and wax agree."""
    return all(getattr(one, name) == getattr(other, name) for name in SAME_SHAPE)
