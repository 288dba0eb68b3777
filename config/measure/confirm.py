"""Confirming the longest orders: an order of 200 lines, over writing 200 rows and nothing else."""

import uuid
from collections.abc import Iterator
from datetime import timedelta
from decimal import Decimal
from statistics import median

from django.apps.registry import Apps
from django.db import connection, models, transaction
from django.utils import timezone

from config.measure.book import made_book
from config.measure.busy_book import Busy, make_busy, take_orders
from config.measure.row import Row, tell, timed
from orders.domain.ordering import Row as Typed
from orders.domain.ordering import confirm_order, save_draft, start_draft
from orders.models import Order

OVER_BARE = 12
OWN = Apps()  # no table of the house, so no migration


class BareRow(models.Model):
    """A line of the bare baseline (facts/BASELINES.md, B4): five columns, one index."""

    order_no = models.IntegerField(db_index=True)
    pos = models.IntegerField()
    code = models.CharField(max_length=20)
    qty = models.IntegerField()
    price = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        apps, app_label = OWN, "measure"


def rows(*, quick: bool = False) -> Iterator[Row]:
    """In turns, so that a machine busy with something else slows both."""
    length, times = (20, 2) if quick else (200, 20)
    with made_book():
        book = make_busy()
        take_orders(book, length, lots=length // 2)
        with connection.schema_editor() as editor:
            editor.create_model(BareRow)
        tell(f"confirming orders of {length} lines")
        house, bare = [], []
        for _ in range(times):
            draft = _draft(book, length)
            house.append(1000 * timed(confirm_order, order=draft, version=draft.version, by=book.by)[1])
            bare.append(1000 * timed(_write_bare, length)[1])
    took, plain = median(house), median(bare)
    said = f"{took:.1f} ms, bulk_create of {length} bare rows {plain:.2f} ms; median of {times}, SQLite"
    yield Row(f"confirm an order of {length} lines over bulk_create", took / plain, "times", aim=OVER_BARE, note=said)


def _draft(book: Busy, length: int) -> Order:
    shop = next(shop for shop in book.shops if not shop.reference_required)
    order = start_draft(shop=shop, submission=uuid.uuid4(), by=book.by)
    typed = [Typed(book.candles[n % len(book.candles)], 6 + n % 7) for n in range(length)]
    header = {"ship_by": timezone.localdate() + timedelta(days=21)}
    return save_draft(order=order, version=order.version, header=header, rows=typed, by=book.by)


def _write_bare(length: int) -> None:
    made = [
        BareRow(order_no=7, pos=n, code=f"IT-{n}", qty=n % 9 + 1, price=Decimal("1.25")) for n in range(length)
    ]  # fmt: skip
    with transaction.atomic():
        BareRow.objects.bulk_create(made)
