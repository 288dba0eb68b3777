"""Papers over an order before its goods leave: the pro forma that asks for money, the invoice of a deposit."""

from datetime import date
from decimal import Decimal

from django.core.exceptions import ValidationError

from inventory.models import SECONDS
from inventory.words import day
from orders.domain import draft_sums as sums
from orders.domain.drafts import DraftLine, InvoiceDraft
from orders.models import Order, OrderBags
from orders.models.order import CONFIRMED
from orders.money import NOUGHT, Rate, RateSum, Total, in_pounds, share_over_rates, vat_within
from orders.tax_point import deposit_tax_point
from orders.vat_treatment import DOMESTIC

PRO_FORMA, DEPOSIT = "pro forma", "deposit invoice"


def draft_pro_forma(*, order: Order, issued_on: date) -> InvoiceDraft:
    """What is still to be sent of an order, as it would be invoiced on that day; deposits received are taken off.

    ValidationError where nothing is to come, or where workshop, address, rate or exchange rate is missing.
    """
    workshop, address = sums.house_and_address(order.shop)
    pending = [line for line in order.lines.select_related("candle__colour", "order") if line.pairs > line.sent]
    if order.status != CONFIRMED or not pending:
        raise ValidationError(f"Order {order.number} has nothing that is still to be sent.")
    treatment, rates = _rates(workshop, order, address, issued_on)
    try:
        lines = [sums.pairs_line(None, line, line.pairs - line.sent, rates.of(line)) for line in pending]
        lines += [sums.bags_line(bags, rates) for bags in OrderBags.objects.filter(order=order, delivery=None)]
        carriage = sums.carriage_of_orders({order.pk: order})
        total, allowances, deducted = sums.add_up(lines, carriage, [order], workshop.vat_rounding, rates.in_force)
    except ValueError as error:
        raise ValidationError(str(error)) from None
    return InvoiceDraft(
        kind=PRO_FORMA,
        workshop=workshop,
        shop=order.shop,
        address=address,
        order=order,
        deliveries=(),
        lines=tuple(lines),
        carriage=tuple(carriage),
        total=total,
        tax_point=None,
        issued_on=issued_on,
        due_on=issued_on,
        vat_invoice=False,
        treatment=treatment,
        sterling=sums.sterling_of(order.currency, total.vat, issued_on),
        currency=order.currency,
        allowances=tuple(allowances),
        deducted=tuple(deducted),
        reasons=rates.reasons(),
    )


def draft_deposit(*, order: Order, received: Decimal, received_on: date, issued_on: date) -> InvoiceDraft:
    """The invoice of `received` (VAT within it, in the order's currency), paid before the order's goods leave.

    It is shared over the rates of what is still to be sent. ValidationError (by field) where it is nothing, more than
    that comes to, or came on a day that is yet to come.
    """
    if received_on > issued_on:
        raise ValidationError({"received_on": "That day has not come yet."})
    if received_on < order.placed_on:
        raise ValidationError({"received_on": f"The order is of {day(order.placed_on)}: that day or later."})
    whole = draft_pro_forma(order=order, issued_on=received_on)
    if not 0 < received <= whole.total.gross:
        most = in_pounds(whole.total.gross)
        raise ValidationError(
            {"received": f"Above nought, and at most {most}: what is still to be sent comes to that."}
        )
    parts = _parts(received, whole.total, whole.workshop.vat_rounding)
    of_seconds = " of seconds" if order.grade == SECONDS else ""
    words = f"Deposit on order {order.number}{of_seconds}, received on {day(received_on)}"
    total = _total(parts)
    taxed = any(part.rate.percent for part in whole.total.rates)
    return InvoiceDraft(
        kind=DEPOSIT,
        workshop=whole.workshop,
        shop=order.shop,
        address=whole.address,
        order=order,
        deliveries=(),
        lines=tuple(DraftLine(None, None, 0, part.goods, NOUGHT, part.goods, part.rate, words) for part in parts),
        carriage=(),
        total=total,
        tax_point=deposit_tax_point(received_on),
        issued_on=issued_on,
        due_on=issued_on,
        vat_invoice=whole.treatment.kind == DOMESTIC and taxed,
        treatment=whole.treatment,
        sterling=sums.sterling_of(order.currency, total.vat, received_on),
        currency=order.currency,
        reasons=whole.reasons,
    )


def _rates(workshop, order: Order, address, on: date):
    try:
        treatment = sums.treatment_of_order(workshop, order, address)
    except ValueError as error:
        raise ValidationError(str(error)) from None
    return treatment, sums.Rates(treatment, on)


def _parts(received: Decimal, whole: Total, rounding: str) -> list[RateSum]:
    shares = share_over_rates(received, {part.rate: part.taxable + part.vat for part in whole.rates})
    return [_part(rate, gross, rounding) for rate, gross in shares.items() if gross]


def _part(rate: Rate, gross: Decimal, rounding: str) -> RateSum:
    vat = vat_within(gross, rate.percent, rounding)
    return RateSum(rate, gross - vat, NOUGHT, vat)


def _total(parts: list[RateSum]) -> Total:
    goods, vat = sum((part.goods for part in parts), NOUGHT), sum((part.vat for part in parts), NOUGHT)
    return Total(goods=goods, carriage=NOUGHT, vat=vat, rates=tuple(parts))
