"""Selling from the seconds shelf: a draft of seconds with the chosen rows in it."""

import uuid
from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.db import transaction

from inventory.models import SECONDS
from inventory.queries.stockroom import free_by_candle
from orders.domain.ordering import Row, save_draft, start_draft
from orders.models import Order, Shop


@transaction.atomic
def sell_seconds(*, shop: Shop, submission: uuid.UUID, rows: Sequence[Row], by) -> Order:
    """A draft of seconds for the shop. The same submission again gives the draft as it stands, rows untouched.

    ValidationError, by candle code, where more is asked for than lies free: nobody dips seconds on purpose, so what
    is not there would stay open for ever.
    """
    if not rows:
        raise ValidationError({"rows": "Type the pairs of at least one candle."})
    free = free_by_candle({row.candle.pk for row in rows}, SECONDS)
    short = {
        row.candle.code: f"Only {free[row.candle.pk]} are free." for row in rows if row.pairs > free[row.candle.pk]
    }
    order = start_draft(shop=shop, submission=submission, by=by, grade=SECONDS)
    if order.version > 1 or order.lines.exists():
        return order
    if short:
        raise ValidationError(short)
    header = {"ship_by": order.ship_by}
    return save_draft(order=order, version=order.version, header=header, rows=rows, by=by)
