"""A credit note before it is issued: what of an invoice is taken off, every figure of it. Nothing is written."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal

from django.core.exceptions import ValidationError

from inventory.words import day, in_pairs
from orders.crediting import credit_total
from orders.domain.draft_sums import house_and_address
from orders.domain.drafts import CreditDraft, CreditLine, Sterling
from orders.models import Invoice, VatRate
from orders.models.credit import RATE, WHY
from orders.models.invoice import GOODS
from orders.money import NOUGHT, Rate, Total, in_pounds, in_sterling, line_net
from orders.queries.credits import InvoiceLeft, LineLeft, left_of
from orders.tax_point import DAYS_FOR_RATE_CHANGE
from orders.vat_treatment import Treatment

LONGEST_REASON = 200
# An invoice of before papers carried their reasons: EN 16931 asks for one of these two categories.
OF_OLD = {"O": ("VATEX-EU-O", "Not subject to VAT: the seller is not registered")}


@dataclass(frozen=True)
class Take:
    """Take `pairs` of an invoice's line off, or an `amount` without pairs (net, before the order's discount)."""

    line: int
    pairs: int = 0
    amount: Decimal = NOUGHT


@dataclass(frozen=True)
class Asked:
    """What a credit note is asked to do. `takes` None: all that is left of the invoice, carriage and all.

    `set_off_on`: the day it was set off or paid back; `anew`: the deliveries are to be invoiced again.
    """

    why: str
    reason: str
    set_off_on: date
    takes: tuple[Take, ...] | None = None
    carriage: Decimal = NOUGHT
    anew: bool = False


def draft_credit(*, invoice: Invoice, asked: Asked, issued_on: date) -> CreditDraft:
    """The credit note against this invoice, were it issued on that day. ValidationError (by field) with the reason."""
    _check(invoice, asked, issued_on)
    left = left_of(invoice)
    if left.gross <= 0:
        raise ValidationError(f"Nothing is left of {invoice}: it is credited whole.")
    if asked.anew and left.notes:
        raise ValidationError(
            {"anew": f"Part of {invoice} is credited already: it can't be taken back to be issued anew."}
        )
    workshop, address = house_and_address(invoice.shop)
    lines = _all_lines(left) if asked.takes is None else [_line(left, take) for take in asked.takes]
    total = _total(invoice, left, lines, left.carriage if asked.takes is None else asked.carriage)
    return CreditDraft(
        workshop=workshop,
        shop=invoice.shop,
        address=address,
        invoice=invoice,
        lines=tuple(lines),
        total=total,
        treatment=Treatment(invoice.treatment, f"As on {invoice}."),
        sterling=_sterling(invoice, left, total),
        reasons=_reasons(invoice),
        why=asked.why,
        reason=asked.reason.strip(),
        anew=asked.anew,
        issued_on=issued_on,
        tax_point=asked.set_off_on,
    )


def _check(invoice: Invoice, asked: Asked, issued_on: date) -> None:
    reason = asked.reason.strip()
    if not reason or len(reason) > LONGEST_REASON:
        raise ValidationError({"reason": f"Say why, in at most {LONGEST_REASON} characters."})
    if asked.why not in dict(WHY):
        raise ValidationError({"why": "Choose what it is for."})
    if asked.set_off_on > issued_on:
        raise ValidationError({"set_off_on": "That day has not come yet."})
    if asked.set_off_on < invoice.paper.issued_on:
        raise ValidationError({"set_off_on": f"{invoice} is of {day(invoice.paper.issued_on)}: that day or later."})
    if asked.anew and (asked.takes is not None or invoice.kind != GOODS):
        raise ValidationError({"anew": "Only an invoice over deliveries, taken back whole, can be issued anew."})
    if asked.why == RATE:
        _check_rate_change(invoice, asked, issued_on)


def _check_rate_change(invoice: Invoice, asked: Asked, issued_on: date) -> None:
    """Reg. 15: whole, and within 45 days of the change."""
    classes = set(invoice.lines.values_list("order_line__candle__vat_class", flat=True))
    changes = VatRate.objects.filter(vat_class__in=classes, since__gt=invoice.tax_point - timedelta(days=14))
    newest = changes.filter(since__lte=issued_on).order_by("since").last()
    if newest is None:
        raise ValidationError({"why": f"No VAT rate on {invoice} has changed since it was issued."})
    if issued_on > newest.since + DAYS_FOR_RATE_CHANGE:
        raise ValidationError(
            {"why": f"The rate changed on {day(newest.since)}: such a credit note is due within 45 days of that."}
        )
    if not asked.anew:
        raise ValidationError({"anew": "A change of rate takes the invoice back whole, to be issued anew."})


def _all_lines(left: InvoiceLeft) -> list[CreditLine]:
    return [CreditLine(one.line, one.pairs, one.net) for one in left.lines.values() if one.pairs or one.net > 0]


def _line(left: InvoiceLeft, take: Take) -> CreditLine:
    one = left.lines.get(take.line)
    if one is None:
        raise ValidationError("One of these lines is not on the invoice.")
    if take.pairs and take.amount:
        raise ValidationError({f"amount_{take.line}": "Either pairs or an amount, not both."})
    if take.pairs:
        return CreditLine(one.line, take.pairs, _net_of_pairs(one, take.pairs))
    if not 0 < take.amount <= one.net:
        raise ValidationError(
            {f"amount_{take.line}": f"Line {one.line.position} has {in_pounds(one.net)} left to credit."}
        )
    return CreditLine(one.line, 0, take.amount)


def _net_of_pairs(one: LineLeft, pairs: int) -> Decimal:
    if not 0 < pairs <= one.pairs:
        raise ValidationError(
            {f"pairs_{one.line.pk}": f"Line {one.line.position} has {in_pairs(one.pairs)} left to credit."}
        )
    if pairs == one.pairs:
        return one.net
    return min(line_net(pairs, one.line.price, one.line.discount), one.net)


def _total(invoice: Invoice, left: InvoiceLeft, lines: Iterable[CreditLine], carriage: Decimal) -> Total:
    goods: dict[Rate, Decimal] = {}
    for line in lines:
        rate = Rate(line.invoice_line.category, line.invoice_line.percent)
        goods[rate] = goods.get(rate, NOUGHT) + line.net
    try:
        return credit_total(left.rates, goods, carriage, invoice.vat_rounding)
    except ValueError as error:
        raise ValidationError(str(error)) from None


def _sterling(invoice: Invoice, left: InvoiceLeft, total: Total) -> Sterling:
    """At the invoice's own rate; what credits the last of the VAT credits the last of it in pounds."""
    last = total.vat == sum((part.vat for part in left.rates.values()), NOUGHT)
    vat = left.vat_sterling if last else min(in_sterling(total.vat, invoice.sterling), left.vat_sterling)
    return Sterling(invoice.sterling, None, vat)


def _reasons(invoice: Invoice) -> dict[Rate, tuple[str, str]]:
    found = {}
    for printed in invoice.paper.content.get("rates", []):
        why = (printed.get("reason_code", ""), printed.get("reason", ""))
        if any(why) or printed["category"] in OF_OLD:
            rate = Rate(printed["category"], Decimal(printed["percent"]).quantize(NOUGHT))
            found[rate] = why if any(why) else OF_OLD[printed["category"]]
    return found
