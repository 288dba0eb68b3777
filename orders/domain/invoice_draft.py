"""An invoice before it is issued: chosen deliveries in, every figure and its reason out. Nothing is written."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.core.exceptions import ValidationError

from inventory.models import Workshop
from inventory.words import day
from orders.models import Address, Delivery, Order, OrderLine, Shop
from orders.models.delivery import LEFT
from orders.money import NOUGHT, Rate, Total, carriage_for, in_pounds, line_net, total_invoice
from orders.queries.invoices import Sent, orders_carried, rates_on, sent_with
from orders.queries.shops import invoice_address_of
from orders.tax_point import TaxPoint, TaxPointsDiffer, common_tax_point, tax_point_of

NO_VAT = Rate("O", Decimal("0.00"))  # UNCL5305: outside the scope, as of a seller who is not registered


@dataclass(frozen=True)
class DraftLine:
    delivery: Delivery
    order_line: OrderLine
    pairs: int
    price: Decimal
    discount: Decimal
    net: Decimal
    rate: Rate


@dataclass(frozen=True)
class Carriage:
    """Carriage of one order: charged once, with the first of its deliveries that is invoiced."""

    order: Order
    amount: Decimal
    why: str


@dataclass(frozen=True)
class InvoiceDraft:
    """Amounts in GBP. `vat_invoice` is False for a workshop without a VAT number or where nothing bears VAT."""

    workshop: Workshop
    shop: Shop
    address: Address
    deliveries: tuple[Delivery, ...]
    lines: tuple[DraftLine, ...]
    carriage: tuple[Carriage, ...]
    total: Total
    tax_point: TaxPoint
    issued_on: date
    due_on: date
    vat_invoice: bool

    @property
    def title(self) -> str:
        return "VAT invoice" if self.vat_invoice else "Invoice"


class AlreadyInvoiced(ValidationError):
    """Some of the deliveries stand on an invoice. `same` is that invoice where it holds exactly the ones asked for."""

    def __init__(self, message: str, same=None):
        super().__init__(message)
        self.same = same


def draft_invoice(*, shop: Shop, delivery_ids: Iterable[int], issued_on: date) -> InvoiceDraft:
    """The invoice over these deliveries of the shop, were it issued on that day.

    ValidationError where a delivery has not left, is another shop's or is invoiced, where tax points differ, where
    the workshop or the address is not filled in, and where an amount would not fit the book.
    """
    deliveries = chosen_deliveries(shop, delivery_ids, issued_on)
    workshop, address = Workshop.objects.first(), invoice_address_of(shop)
    if workshop is None:
        raise ValidationError("Set-up has no workshop yet: an invoice needs its name, address and bank.")
    if address is None:
        raise ValidationError(f"{shop.name} has no address yet: an invoice has to show one.")
    sent = sent_with(deliveries)
    vat_invoice = bool(workshop.vat_number) and any(one.line.candle.vat_class != "zero" for one in sent)
    tax_point = _tax_point(deliveries, issued_on, vat_invoice)
    rates = rates_on(tax_point.day) if workshop.vat_number else {}
    try:
        lines = _lines(deliveries, sent, rates, registered=bool(workshop.vat_number))
        carriage = carriage_of_orders({delivery.order.pk: delivery.order for delivery in deliveries})
        total = total_invoice(
            [(line.net, line.rate) for line in lines], _add(part.amount for part in carriage), workshop.vat_rounding
        )
    except ValueError as error:
        raise ValidationError(str(error)) from None
    days = 0 if shop.pro_forma_first else shop.terms_days
    return InvoiceDraft(
        workshop=workshop,
        shop=shop,
        address=address,
        deliveries=tuple(deliveries),
        lines=tuple(lines),
        carriage=tuple(carriage),
        total=total,
        tax_point=tax_point,
        issued_on=issued_on,
        due_on=issued_on + timedelta(days=days),
        vat_invoice=vat_invoice,
    )


def first_choice(deliveries: Iterable[Delivery], issued_on: date) -> list[int]:
    """Of deliveries waiting (oldest first), those that may share an invoice with the oldest: one tax point."""
    deliveries = list(deliveries)
    latest: dict[int, date] = {}
    for delivery in deliveries:
        latest[delivery.order_id] = max(delivery.left_on, latest.get(delivery.order_id, delivery.left_on))
    points = {
        delivery.pk: tax_point_of(latest[delivery.order_id], max(issued_on, delivery.left_on))
        for delivery in deliveries
    }
    return [pk for pk, point in points.items() if point == next(iter(points.values()))]


def chosen_deliveries(shop: Shop, delivery_ids: Iterable[int], issued_on: date) -> list[Delivery]:
    """The deliveries, oldest first; AlreadyInvoiced or ValidationError where one of them cannot be invoiced now."""
    wanted = set(delivery_ids)
    if not wanted:
        raise ValidationError("Choose at least one delivery.")
    rows = Delivery.objects.filter(pk__in=wanted, order__shop=shop).order_by("left_on", "pk")
    deliveries = list(rows.select_related("order", "order__deliver_to", "note", "invoiced__invoice__paper"))
    if len(deliveries) != len(wanted):
        raise ValidationError(f"One of these deliveries is not one of {shop.name}.")
    invoiced = [delivery for delivery in deliveries if hasattr(delivery, "invoiced")]
    if invoiced:
        raise _already(invoiced, wanted)
    for delivery in deliveries:
        if delivery.state != LEFT:
            raise ValidationError(f"{delivery} has not left yet: what leaves is invoiced, not what is packed.")
        if delivery.left_on > issued_on:
            raise ValidationError(f"{delivery} left on {day(delivery.left_on)}, after this invoice's date.")
    return deliveries


def carriage_of_orders(orders: dict[int, Order]) -> list[Carriage]:
    """Carriage of each order by its own rule: on what the whole order comes to now, once, with its first invoice."""
    carried = orders_carried(orders)
    goods = dict.fromkeys(orders, NOUGHT)
    for line in OrderLine.objects.filter(order__in=orders):
        goods[line.order_id] += line_net(line.pairs, line.price, orders[line.order_id].discount)
    return [_carriage(order, goods[pk], carried.get(pk)) for pk, order in sorted(orders.items())]


def _carriage(order: Order, goods: Decimal, settled_with: str | None) -> Carriage:
    if settled_with:
        return Carriage(order, NOUGHT, f"order {order.number}: settled with its first delivery, on {settled_with}")
    amount = carriage_for(goods, order.carriage, order.carriage_free_above)
    if amount:
        return Carriage(order, amount, f"order {order.number}, charged once, with its first delivery")
    if order.carriage:
        free = f"free from goods of {in_pounds(order.carriage_free_above or NOUGHT)}; it comes to {in_pounds(goods)}"
        return Carriage(order, NOUGHT, f"order {order.number}: {free}")
    return Carriage(order, NOUGHT, f"order {order.number}: carriage free")


def _already(invoiced: list[Delivery], wanted: set[int]) -> AlreadyInvoiced:
    invoices = {delivery.invoiced.invoice for delivery in invoiced}
    first = invoiced[0].invoiced.invoice
    exactly = len(invoices) == 1 and set(first.deliveries.values_list("delivery", flat=True)) == wanted
    names = ", ".join(f"{delivery} on {delivery.invoiced.invoice}" for delivery in invoiced)
    return AlreadyInvoiced(f"Invoiced already: {names}.", same=first if exactly else None)


def _tax_point(deliveries: list[Delivery], issued_on: date, vat_invoice: bool) -> TaxPoint:
    removals: dict[str, list[date]] = {}
    for delivery in deliveries:
        removals.setdefault(f"order {delivery.order.number}", []).append(delivery.left_on)
    try:
        return common_tax_point(removals, issued_on, vat_invoice=vat_invoice)
    except TaxPointsDiffer as differ:
        raise ValidationError(
            f"What left for {' and '.join(differ.late)} has a tax point of its own, which the rest does not share; "
            "an invoice carries one tax point. Invoice it by itself."
        ) from None


def _lines(deliveries: list[Delivery], sent: list[Sent], rates: dict[str, Rate], registered: bool) -> list[DraftLine]:
    found = []
    for delivery in deliveries:
        for one in sent:
            if one.delivery_id == delivery.pk:
                rate = rates.get(one.line.candle.vat_class) if registered else NO_VAT
                if rate is None:
                    raise ValueError(f"Set-up has no VAT rate of class {one.line.candle.vat_class} for that day.")
                found.append(
                    DraftLine(delivery, one.line, one.pairs, one.line.price, delivery.order.discount, one.net, rate)
                )
    return found


def _add(amounts: Iterable[Decimal]) -> Decimal:
    return sum(amounts, NOUGHT)
