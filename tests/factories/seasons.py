"""Seasons to compare: orders of this year's, and rows of what was booked before the book."""

import uuid
from datetime import date, timedelta

from django.utils import timezone

from orders.models import BookedBefore, Order
from tests.factories.house import make_person
from tests.factories.trade import make_order


def make_booking(shop, candle, pairs: int, placed_on: date, **fields) -> Order:
    """A confirmed order of one line, to be sent nine days later."""
    values = {"placed_on": placed_on, "ship_by": placed_on + timedelta(days=9), **fields}
    return make_order(shop, [(candle, pairs)], **values)


def make_booked_before(shop, candle, pairs: int, placed_on: date, **fields) -> BookedBefore:
    values = {
        "ship_by": placed_on + timedelta(days=9), "submission": uuid.uuid4(), "made_at": timezone.now(), **fields
    }  # fmt: skip
    values.setdefault("made_by", make_person())
    return BookedBefore.objects.create(shop=shop, candle=candle, pairs=pairs, placed_on=placed_on, **values)
