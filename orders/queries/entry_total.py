"""What a draft comes to while it is typed: goods, this order's discount, carriage and VAT, each with its reason."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from inventory.models import Candle, Workshop
from orders.carriage import Charge
from orders.domain.pricing import carriage_of
from orders.models import Order, OrderLine
from orders.money import NOUGHT, Rate, Total, percent_of, share_over_rates, total_invoice
from orders.prices import below_minimum
from orders.queries.entry import PageRow
from orders.queries.invoices import rates_on
from orders.vat_treatment import EXPORT, Treatment, treatment_of

NO_VAT = Rate("O", Decimal(0))


@dataclass(frozen=True)
class EntryTotal:
    """`total` is None where it would not fit the book; `too_small` warns where the shop's smallest order is not
    reached. Amounts in the shop's currency; VAT by where the order goes.
    """

    total: Total | None
    carriage: Charge | None = None
    too_small: str = ""
    no_vat_because: str = ""


@dataclass(frozen=True)
class Asked:
    """Pairs of a candle and what they come to after the shop's discount; None: too much for the book."""

    candle: Candle
    pairs: int
    net: Decimal | None


def total_of_rows(order: Order, rows: Iterable[PageRow], boxed: Iterable[OrderLine] = ()) -> EntryTotal:
    """Goods, discount on this order, carriage and VAT at the shop's terms and today's rates.

    `boxed`: lines of boxes of seconds, whose prices stand.
    """
    understood = [Asked(row.candle, row.pairs, row.net) for row in rows if row.candle]
    understood += [Asked(line.candle, line.pairs, line.pairs * line.price) for line in boxed]
    if any(row.net is None for row in understood):
        return EntryTotal(None)
    goods = sum((row.net for row in understood), NOUGHT)
    allowance = percent_of(goods, order.order_discount)
    workshop = Workshop.objects.filter(pk=1).first()
    treatment = _treatment(order, workshop)
    try:
        carriage = carriage_of(order, goods - allowance, [(row.candle, row.pairs) for row in understood])
        total = _total(understood, allowance, carriage.amount, workshop, treatment)
    except ValueError:
        return EntryTotal(None)
    too_small = below_minimum(goods - allowance, order.shop.minimum_order) if understood else ""
    return EntryTotal(total, carriage, too_small, "export" if treatment.kind == EXPORT else "")


def _treatment(order: Order, workshop: Workshop | None) -> Treatment:
    """By where the order goes; what the book cannot invoice is reckoned as at home until somebody looks."""
    place, number = order.deliver_to, workshop.vat_number if workshop else ""
    try:
        return treatment_of(number, place.country if place else "GB", place.postcode if place else "")
    except ValueError:
        return treatment_of(number, "GB")


def _total(rows: list[Asked], allowance: Decimal, carriage: Decimal, workshop, treatment: Treatment) -> Total:
    rates = {} if treatment.rate else rates_on(timezone.localdate())
    # A class without a rate is told when it is invoiced; here it bears none.
    lines = [(row.net, treatment.rate or rates.get(row.candle.vat_class, NO_VAT)) for row in rows]
    goods: dict[Rate, Decimal] = {}
    for net, rate in lines:
        goods[rate] = goods.get(rate, NOUGHT) + net
    off = share_over_rates(allowance, goods) if allowance else {}
    return total_invoice(lines, carriage, workshop.vat_rounding if workshop else "half-up", off)
