"""What is left of invoices after their credit notes: by line, by rate, and in all."""

from dataclasses import dataclass
from decimal import Decimal

from django.db.models import DecimalField, F, OuterRef, QuerySet, Subquery, Sum, Value
from django.db.models.functions import Coalesce, Round

from orders.crediting import Left, left_at
from orders.models import CreditNote, CreditNoteLine, CreditNoteVat, Invoice, InvoiceLine
from orders.money import NOUGHT, Rate, RateSum

MONEY = DecimalField(max_digits=12, decimal_places=2)


def with_credits(invoices: QuerySet[Invoice]) -> QuerySet[Invoice]:
    """Invoices with `credited` (gross of their credit notes) and `uncredited` (gross less that), in their currency.

    What is open of an invoice is `uncredited` less what was paid.
    """
    sums = CreditNote.objects.filter(invoice=OuterRef("pk")).order_by().values("invoice").annotate(sum=Sum("gross"))
    credited = Coalesce(Subquery(sums.values("sum"), output_field=MONEY), Value(NOUGHT), output_field=MONEY)
    # Rounded, because SQLite adds money as binary fractions.
    return invoices.annotate(
        credited=Round(credited, precision=2, output_field=MONEY),
        uncredited=Round(F("gross") - credited, precision=2, output_field=MONEY),
    )


@dataclass(frozen=True)
class LineLeft:
    """An invoice's line, and the pairs and net amount of it that no credit note took off yet."""

    line: InvoiceLine
    pairs: int
    net: Decimal


@dataclass(frozen=True)
class InvoiceLeft:
    """What is left of an invoice: `lines` by the line's key, `rates` by rate, gross in all."""

    lines: dict[int, LineLeft]
    rates: dict[Rate, Left]
    gross: Decimal
    vat_sterling: Decimal
    notes: int

    @property
    def carriage(self) -> Decimal:
        return sum((part.carriage for part in self.rates.values()), NOUGHT)


def left_of(invoice: Invoice) -> InvoiceLeft:
    """What is left of an invoice. Five queries."""
    credited: dict[Rate, list[RateSum]] = {}
    for row in CreditNoteVat.objects.filter(note__invoice=invoice):
        credited.setdefault(Rate(row.category, row.percent), []).append(_rate_sum(row))
    rates = {}
    for row in invoice.vat_rows.all():
        part = _rate_sum(row)
        rates[part.rate] = left_at(part, credited.get(part.rate, []))
    taken: dict[int, list[CreditNoteLine]] = {}
    for row in CreditNoteLine.objects.filter(note__invoice=invoice):
        taken.setdefault(row.invoice_line_id, []).append(row)
    lines = {}
    for line in invoice.lines.select_related("order_line__candle__colour", "order_line__order"):
        its = taken.get(line.pk, [])
        net = line.net - sum((row.net for row in its), NOUGHT)
        lines[line.pk] = LineLeft(line, line.pairs - sum(row.pairs for row in its), net)
    notes = list(CreditNote.objects.filter(invoice=invoice).values_list("gross", "vat_sterling"))
    return InvoiceLeft(
        lines=lines,
        rates=rates,
        gross=invoice.gross - sum((gross for gross, _ in notes), NOUGHT),
        vat_sterling=invoice.vat_sterling - sum((vat for _, vat in notes), NOUGHT),
        notes=len(notes),
    )


def invoices_for_list() -> QuerySet[Invoice]:
    rows = Invoice.objects.select_related("shop", "paper__cancellation").defer("paper__content")
    return with_credits(rows).order_by("-pk")


def credit_notes_for_list() -> QuerySet[CreditNote]:
    rows = CreditNote.objects.select_related("shop", "paper", "invoice__paper")
    return rows.defer("paper__content", "invoice__paper__content").order_by("-pk")


def _rate_sum(row) -> RateSum:
    return RateSum(Rate(row.category, row.percent), row.goods, row.carriage, row.vat, row.allowance, row.deposit)
