"""The books of a period: every paper by its day, the VAT by rate, the money that came. GBP unless said."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from decimal import ROUND_HALF_UP, Decimal

from django.db.models import Q

from orders.models import CreditNote, Invoice, LateCharge, Paper, Payment, PeriodClose, PromptTaken, Shop
from orders.models.payment import CAME_IN
from orders.money import NOUGHT
from orders.periods import PENNY, Period, Sold, counted_on, pounds_of

SALE, CREDIT, CHARGE, DISCOUNT = "invoice", "credit note", "late charge", "prompt-payment discount"


@dataclass(frozen=True)
class Entry:
    """One paper of the day book. In GBP; credit notes below nought. `foreign`: gross and currency as printed."""

    on: date
    paper: Paper
    shop: Shop
    kind: str
    tax_point: date | None
    net: Decimal
    vat: Decimal
    foreign: str = ""

    @property
    def gross(self) -> Decimal:
        return self.net + self.vat


def day_book(period: Period) -> list[Entry]:
    """Every invoice, credit note and late charge issued in the period, by day and number. Three queries."""
    within = {"paper__issued_on__gte": period.first, "paper__issued_on__lte": period.last}
    found = []
    for kind, model, sign in ((SALE, Invoice, 1), (CREDIT, CreditNote, -1)):
        rows = model.objects.filter(**within).select_related("paper", "shop").defer("paper__content")
        found += [_entry(kind, row, sign) for row in rows]
    charges = LateCharge.objects.filter(**within).select_related("paper", "shop").defer("paper__content")
    found += [Entry(row.paper.issued_on, row.paper, row.shop, CHARGE, None, row.amount, NOUGHT) for row in charges]
    return sorted(found, key=lambda entry: (entry.on, entry.paper.pk))


def _entry(kind: str, row, sign: int) -> Entry:
    net = row.net if row.currency == "GBP" else (row.net * row.sterling).quantize(PENNY, ROUND_HALF_UP)
    vat = row.vat if row.currency == "GBP" else row.vat_sterling
    foreign = "" if row.currency == "GBP" else f"{sign * row.gross:,.2f} {row.currency}"
    return Entry(row.paper.issued_on, row.paper, row.shop, kind, row.tax_point, sign * net, sign * vat, foreign)


def vat_summary(period: Period) -> list[Sold]:
    """Net and VAT of the period by kind, category and rate, GBP. Seven queries, however many papers."""
    closes = list(PeriodClose.objects.order_by("pk").values_list("at", "until"))
    sums: dict[tuple, list[Decimal]] = defaultdict(lambda: [NOUGHT, NOUGHT])
    papers: dict[tuple, set] = defaultdict(set)
    for kind, row, sign, parts in _taxed(period, closes):
        amounts = pounds_of([(part.taxable, part.vat) for part in parts], row.sterling, row.vat_sterling)
        for part, (net, vat) in zip(parts, amounts, strict=True):
            key = kind, part.category, part.percent
            sums[key][0] += sign * net
            sums[key][1] += sign * vat
            papers[key].add(row.pk)
    for taken in PromptTaken.objects.filter(on__gte=period.first, on__lte=period.last).select_related("invoice"):
        rate = taken.invoice.sterling
        gross, vat = ((amount * rate).quantize(PENNY, ROUND_HALF_UP) for amount in (taken.gross, taken.vat))
        key = DISCOUNT, "", NOUGHT
        sums[key][0] -= gross - vat
        sums[key][1] -= vat
        papers[key].add(taken.pk)
    order = {SALE: 0, CREDIT: 1, DISCOUNT: 2}
    keys = sorted(sums, key=lambda key: (order[key[0]], key[1], -key[2]))
    return [Sold(*key, *sums[key], len(papers[key])) for key in keys]


def _taxed(period: Period, closes):
    """(kind, row, sign, its VAT rows) of every paper whose VAT belongs to the period."""
    near = Q(tax_point__gte=period.first, tax_point__lte=period.last)
    near |= Q(paper__issued_on__gte=period.first, paper__issued_on__lte=period.last)
    for kind, model, sign in ((SALE, Invoice, 1), (CREDIT, CreditNote, -1)):
        rows = model.objects.filter(near).select_related("paper").defer("paper__content")
        for row in rows.prefetch_related("vat_rows"):
            closed = _closed_at(closes, row.paper.issued_at)
            if counted_on(row.tax_point, row.paper.issued_on, closed) in period:
                yield kind, row, sign, list(row.vat_rows.all())


def _closed_at(closes: Iterable[tuple[datetime, date | None]], at: datetime) -> date | None:
    """How far the books were closed at that moment."""
    until = None
    for when, day in closes:
        if when <= at:
            until = day
    return until


def receipts(period: Period) -> list[Payment]:
    """Payments, refunds and what was taken back, by day; each with `signed` and `against`, the papers it settles.

    Six queries, however many.
    """
    rows = Payment.objects.filter(on__gte=period.first, on__lte=period.last).select_related("shop", "reverses")
    rows = list(rows.prefetch_related("parts__invoice__paper", "parts__late_charge__paper").order_by("on", "pk"))
    for row in rows:
        came = row.kind == CAME_IN or (row.reverses is not None and row.reverses.kind != CAME_IN)
        row.signed = row.amount if came else -row.amount
        row.against = _against(row)
    return rows


def _against(payment: Payment) -> str:
    held: dict[str, Decimal] = defaultdict(lambda: NOUGHT)
    for part in payment.parts.all():
        paper = part.invoice or part.late_charge
        held[paper.paper.number if paper else "refund"] += part.amount
    return ", ".join(f"{number} {amount:,.2f}" for number, amount in held.items() if amount)
