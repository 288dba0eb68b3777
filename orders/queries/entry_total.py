"""What a draft comes to while it is typed: goods, this order's discount, carriage and VAT, each with its reason."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from django.utils import timezone

from inventory.models import Workshop
from orders.carriage import Charge
from orders.domain.pricing import carriage_of
from orders.models import Order
from orders.money import NOUGHT, Rate, Total, percent_of, share_over_rates, total_invoice
from orders.prices import below_minimum
from orders.queries.entry import PageRow
from orders.queries.invoices import rates_on

NO_VAT = Rate("O", Decimal(0))


@dataclass(frozen=True)
class EntryTotal:
    """`total` is None where it would not fit the book; `too_small` warns where the shop's smallest order is not
    reached. Amounts in the shop's currency.
    """

    total: Total | None
    carriage: Charge | None = None
    too_small: str = ""


def total_of_rows(order: Order, rows: Iterable[PageRow]) -> EntryTotal:
    """Goods, discount on this order, carriage and VAT at the shop's terms and today's rates."""
    understood = [row for row in rows if row.candle]
    if any(row.net is None for row in understood):
        return EntryTotal(None)
    goods = sum((row.net for row in understood), NOUGHT)
    allowance = percent_of(goods, order.order_discount)
    try:
        carriage = carriage_of(order, goods - allowance, [(row.candle, row.pairs) for row in understood])
        total = _total(understood, allowance, carriage.amount)
    except ValueError:
        return EntryTotal(None)
    too_small = below_minimum(goods - allowance, order.shop.minimum_order) if understood else ""
    return EntryTotal(total, carriage, too_small)


def _total(rows: list[PageRow], allowance: Decimal, carriage: Decimal) -> Total:
    workshop = Workshop.objects.filter(pk=1).first()
    rates = rates_on(timezone.localdate()) if workshop and workshop.vat_number else {}
    lines = [(row.net, rates.get(row.candle.vat_class, NO_VAT)) for row in rows]
    goods: dict[Rate, Decimal] = {}
    for net, rate in lines:
        goods[rate] = goods.get(rate, NOUGHT) + net
    off = share_over_rates(allowance, goods) if allowance else {}
    return total_invoice(lines, carriage, workshop.vat_rounding if workshop else "half-up", off)
