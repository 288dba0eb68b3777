"""Years gone by, by bulk: orders that were sent, invoiced and paid, with their lots, movements, papers and records."""

import uuid
from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal
from random import Random

from django.db import connection, models, transaction
from django.utils import timezone

from config.measure.years import Size, lines_of, make_orders
from config.models import Person
from inventory.models import Candle, Lot, Movement, Record
from orders.models import (
    Delivery,
    DeliveryLine,
    Invoice,
    InvoicedDelivery,
    Order,
    OrderLine,
    Paper,
    Payment,
    PaymentPart,
    Shop,
)
from orders.models.delivery import LEFT
from orders.models.order import DONE

# In the order in which they point at each other.
TABLES = (
    Order, OrderLine, Lot, Movement, Paper, Delivery, DeliveryLine, Invoice, InvoicedDelivery, Payment, PaymentPart,
    Record,
)  # fmt: skip
LINES_A_LOT = 10
APART = 1_000_000  # between the keys of two years


@transaction.atomic
def add_year(size: Size, owner: Person) -> dict[type[models.Model], int]:
    """The year before this day. Of each table the last key that was there before, for `add_years_before`."""
    before = {table: table.objects.aggregate(last=models.Max("pk"))["last"] or 0 for table in TABLES}
    dice, shops, candles = Random(2), list(Shop.objects.all()), list(Candle.objects.all())  # noqa: S311
    orders = make_orders(size.orders_a_year, 2_000_001, shops, owner, dice, status=DONE)
    for order in orders:
        order.ship_by = order.placed_on = timezone.localdate() - timedelta(days=dice.randrange(60, 420))
    Order.objects.bulk_create(orders)
    lines = OrderLine.objects.bulk_create(lines_of(orders, size, candles, dice, sent=True))
    notes = _papers(orders, "delivery note", "DN", owner)
    at = timezone.now()
    deliveries = Delivery.objects.bulk_create(
        Delivery(
            order=order, state=LEFT, van_day=order.ship_by, note=note, started_at=at, started_by=owner,
            left_on=order.ship_by,
        )
        for order, note in zip(orders, notes, strict=True)
    )  # fmt: skip
    _send(lines, {delivery.order_id: delivery for delivery in deliveries}, owner)
    _invoice(deliveries, owner)
    Record.objects.bulk_create(
        Record(subject="order", subject_id=order.pk, what=what, person=owner, at=at)
        for order in orders
        for what in ("Taken", "Confirmed", "Set aside", "Packed")
    )
    return before


def _papers(orders: Sequence[Order], kind: str, series: str, owner: Person) -> list[Paper]:
    content = {"said": "as little as a measure needs"}
    return Paper.objects.bulk_create(
        Paper(
            kind=kind, number=f"{series}-{order.number}", shop=order.shop, content=content, content_sha256="0" * 64,
            issued_on=order.ship_by, issued_at=timezone.now(), issued_by=owner,
        )
        for order in orders
    )  # fmt: skip


def _send(lines: list[OrderLine], deliveries: dict[int, Delivery], owner: Person) -> None:
    """Every ten lines of one candle emptied a lot."""
    at, lots, taken = timezone.now(), {}, {}
    for n, line in enumerate(sorted(lines, key=lambda line: line.candle_id)):
        key = (line.candle_id, n // LINES_A_LOT)
        lots.setdefault(key, Lot(code=f"F-P{len(lots)}", candle=line.candle, grade="firsts", made_on=at.date()))
        taken[line.pk] = lots[key]
    Lot.objects.bulk_create(lots.values())
    moved = Movement.objects.bulk_create(
        Movement(lot=taken[line.pk], kind="sent", pairs=-line.pairs, person=owner, at=at) for line in lines
    )
    DeliveryLine.objects.bulk_create(
        DeliveryLine(
            delivery=deliveries[line.order_id], line=line, lot=taken[line.pk], pairs=line.pairs, movement=gone
        )
        for line, gone in zip(lines, moved, strict=True)
    )


def _invoice(deliveries: list[Delivery], owner: Person) -> None:
    """A hundred pounds each and VAT; all but every fiftieth are paid."""
    papers = _papers([delivery.order for delivery in deliveries], "invoice", "INV", owner)
    sums = {"goods": 100, "carriage": 0, "net": 100, "vat": 20, "vat_sterling": 20, "gross": Decimal(120)}
    invoices = Invoice.objects.bulk_create(
        Invoice(paper=paper, shop=paper.shop, tax_point=paper.issued_on, due_on=paper.issued_on, **sums)
        for paper in papers
    )
    InvoicedDelivery.objects.bulk_create(
        InvoicedDelivery(invoice=invoice, delivery=delivery)
        for invoice, delivery in zip(invoices, deliveries, strict=True)
    )
    paid = [invoice for n, invoice in enumerate(invoices) if n % 50]
    by = {"at": timezone.now(), "by": owner}
    payments = Payment.objects.bulk_create(
        Payment(shop=invoice.shop, amount=invoice.gross, on=invoice.due_on, submission=uuid.uuid4(), **by)
        for invoice in paid
    )
    PaymentPart.objects.bulk_create(
        PaymentPart(payment=payment, invoice=invoice, amount=invoice.gross, **by)
        for payment, invoice in zip(payments, paid, strict=True)
    )


@transaction.atomic
def add_years_before(years: int, before: dict[type[models.Model], int]) -> None:
    """The year that `add_year` made, once more for each of so many years before it. SQLite only."""
    last = {table: table.objects.aggregate(last=models.Max("pk"))["last"] for table in TABLES}
    with connection.cursor() as cursor:
        for year in range(1, years + 1):
            for table in TABLES:
                columns = ", ".join(f'"{field.column}"' for field in table._meta.concrete_fields)
                copied = ", ".join(_copied(field, year) for field in table._meta.concrete_fields)
                name = table._meta.db_table
                cursor.execute(
                    f"INSERT INTO {name} ({columns}) SELECT {copied} FROM {name} WHERE id > %s AND id <= %s",  # noqa: S608
                    [before[table], last[table]],
                )


def _copied(field: models.Field, year: int) -> str:
    """What stands in that field of the copy of so many years before, as SQL of SQLite."""
    column, days = f'"{field.column}"', 364 * year
    if field.primary_key or field.related_model in TABLES:
        return f"{column} + {APART * year}"
    if isinstance(field, models.UUIDField):
        return "lower(hex(randomblob(16)))"
    if field.unique:
        return f"{column} - {20_000 * year}" if isinstance(field, models.IntegerField) else f"{column} || '-{year}'"
    if isinstance(field, models.DateTimeField):
        return f"strftime('%%Y-%%m-%%d %%H:%%M:%%f', {column}, '-{days} days')"
    return f"date({column}, '-{days} days')" if isinstance(field, models.DateField) else column
