"""Reads of the ledger."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Exists, OuterRef, QuerySet

from inventory.words import counted
from inventory.words import day as in_words
from orders.models import (
    Delivery,
    DeliveryLine,
    ExchangeRate,
    Invoice,
    InvoicedDelivery,
    Order,
    OrderLine,
    Shop,
    VatRate,
)
from orders.models.delivery import LEFT
from orders.money import NOUGHT, Rate, in_pounds, line_net
from orders.tax_point import last_day_to_issue


def rates_on(day: date) -> dict[str, Rate]:
    """The VAT rate of each class in force on a day."""
    rows = VatRate.objects.filter(since__lte=day).order_by("since")
    return {row.vat_class: Rate(row.category, row.percent) for row in rows}


def sterling_on(currency: str, day: date) -> ExchangeRate | None:
    """What one unit of a currency was worth on a day, as the set-up has it."""
    return ExchangeRate.objects.filter(currency=currency, since__lte=day).order_by("since").last()


def live_invoicings() -> QuerySet[InvoicedDelivery]:
    """Deliveries on invoices that stand: not those an invoice held that was taken back whole, to be issued anew."""
    return InvoicedDelivery.objects.exclude(invoice__credit_notes__anew=True)


def to_invoice(shop: Shop | None = None) -> QuerySet[Delivery]:
    """Deliveries that have left and stand on no invoice, oldest first."""
    waiting = Delivery.objects.filter(~Exists(live_invoicings().filter(delivery=OuterRef("pk"))), state=LEFT)
    if shop is not None:
        waiting = waiting.filter(order__shop=shop)
    return waiting.select_related("order__shop", "order__deliver_to", "note").order_by("left_on", "pk")


@dataclass
class Sent:
    """What one delivery took of one order line: whole pairs, whatever the lots."""

    delivery_id: int
    line: OrderLine
    pairs: int

    @property
    def net(self) -> Decimal:
        return line_net(self.pairs, self.line.price, self.line.discount)


def sent_with(deliveries: Iterable[Delivery]) -> list[Sent]:
    """The goods of deliveries, one row a delivery and order line, in the order of the lines."""
    rows = DeliveryLine.objects.filter(delivery__in=[delivery.pk for delivery in deliveries])
    rows = rows.select_related("line__order", "line__candle__colour").order_by("line__position", "line", "pk")
    found: dict[tuple[int, int], Sent] = {}
    for row in rows:
        sent = found.setdefault((row.delivery_id, row.line_id), Sent(row.delivery_id, row.line, 0))
        sent.pairs += row.pairs
    return list(found.values())


def net_by_delivery(deliveries: Iterable[Delivery]) -> dict[int, Decimal]:
    """Goods of each delivery in GBP, less discount, without carriage and VAT."""
    nets: dict[int, Decimal] = defaultdict(lambda: NOUGHT)
    for sent in sent_with(deliveries):
        nets[sent.delivery_id] += sent.net
    return dict(nets)


@dataclass(frozen=True)
class ShopWaiting:
    """A shop's deliveries that wait for an invoice: net goods in GBP, and the last day the law leaves."""

    shop: Shop
    numbers: list[str]
    net: Decimal
    oldest: date
    last_day: date


def waiting_by_shop() -> list[ShopWaiting]:
    """What is still to be invoiced, the most urgent shop first."""
    deliveries = list(to_invoice())
    nets = net_by_delivery(deliveries)
    by_shop: dict[Shop, list[Delivery]] = defaultdict(list)
    for delivery in deliveries:
        by_shop[delivery.order.shop].append(delivery)
    return [
        ShopWaiting(
            shop=shop,
            numbers=[str(delivery) for delivery in waiting],
            net=sum((nets.get(delivery.pk, NOUGHT) for delivery in waiting), NOUGHT),
            oldest=waiting[0].left_on,
            last_day=last_day_to_issue(waiting[0].left_on),
        )
        for shop, waiting in by_shop.items()
    ]


def waiting_in_words(waiting: list[ShopWaiting], today: date) -> str:
    """The ledger's answer: what is still to be invoiced, and what is late."""
    if not waiting:
        return "Everything that has left is invoiced."
    count = counted(sum(len(row.numbers) for row in waiting), "delivery", "deliveries")
    net = in_pounds(sum((row.net for row in waiting), NOUGHT))
    late = [row for row in waiting if row.last_day < today]
    close = f"; {late[0].shop.name} should have had its invoice by {in_words(late[0].last_day)}." if late else "."
    verb = "waits" if count == "1 delivery" else "wait"
    return f"{count} to {counted(len(waiting), 'shop')}, goods of {net}, {verb} for an invoice{close}"


def orders_of(invoice: Invoice) -> QuerySet[Order]:
    """The orders an invoice is over: the one whose deposit it asks for, or those of its deliveries."""
    if invoice.order_id:
        return Order.objects.filter(pk=invoice.order_id)
    # By key, not "one or the other" through joins: for that both databases read every order there is.
    return Order.objects.filter(pk__in=Delivery.objects.filter(invoicings__invoice=invoice).values("order"))


def orders_carried(order_ids: Iterable[int]) -> dict[int, str]:
    """Number of the first invoice of each order that has one: that invoice settled the order's carriage."""
    rows = live_invoicings().filter(delivery__order__in=list(order_ids)).order_by("-invoice")
    return dict(rows.values_list("delivery__order", "invoice__paper__number"))
