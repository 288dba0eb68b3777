"""Selling from the seconds shelf: a draft of seconds with the chosen rows and boxes in it."""

import uuid
from collections.abc import Collection, Sequence

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.models import SECONDS
from inventory.queries.stockroom import free_by_candle
from orders.domain.bags import put_bags
from orders.domain.ordering import Row, lock_order, save_draft, start_draft
from orders.domain.seconds_selling import take_boxes
from orders.models import Order, Shop


@transaction.atomic
def sell_seconds(
    *, shop: Shop, submission: uuid.UUID, rows: Sequence[Row], by, boxes: Collection[int] = (), bags: int = 0
) -> Order:
    """A draft of seconds for the shop, with pairs by the candle, whole boxes (by key) and bags of firelighters; boxes
    and bags leave the shelf at once. The same submission again gives the draft as it stands, nothing touched.

    ValidationError, by candle code, where more is asked for than lies free: nobody dips seconds on purpose, so what
    is not there would stay open for ever; at `boxes` where a box is gone; at `bags` where fewer are free.
    """
    if not rows and not boxes:
        raise ValidationError({"rows": "Type the pairs of at least one candle, or tick a box. Bags go with them."})
    free = free_by_candle({row.candle.pk for row in rows}, SECONDS)
    short = {
        row.candle.code: f"Only {free[row.candle.pk]} are free." for row in rows if row.pairs > free[row.candle.pk]
    }
    order = start_draft(shop=shop, submission=submission, by=by, grade=SECONDS)
    if order.version > 1 or order.lines.exists():
        return order
    if short:
        raise ValidationError(short)
    if rows:
        order = save_draft(order=order, version=order.version, header={"ship_by": order.ship_by}, rows=rows, by=by)
    take_boxes(lock_order(order), boxes, by)
    put_bags(order=order, bags=bags, by=by)
    return order
