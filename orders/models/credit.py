"""Credit notes: what is taken off an invoice, by line or whole, never more than is left of it."""

from django.db import models
from django.db.models import Q
from django.urls import reverse

from orders.models.invoice import GROSS, NET, LedgerSums, VatSums

RETURNED, BROKEN, OVERCHARGED, MISTAKE, RATE = "returned", "broken", "overcharged", "mistake", "rate"
WHY = [
    (RETURNED, "goods came back"),
    (BROKEN, "broken or short on arrival"),
    (OVERCHARGED, "charged too much"),
    (MISTAKE, "invoiced by mistake"),
    (RATE, "change of VAT rate"),
]


class CreditNote(LedgerSums):
    """Issued once, never changed (triggers); all amounts above nought, and taken off `invoice`.

    `tax_point` is the day the amount was set off or paid back (VAT Regulations 1995 reg. 24B): its VAT belongs there.
    `anew`: the invoice is taken back whole, and its deliveries are to be invoiced again.
    """

    paper = models.OneToOneField("orders.Paper", on_delete=models.PROTECT, related_name="credit_note")
    invoice = models.ForeignKey("orders.Invoice", on_delete=models.PROTECT, related_name="credit_notes")
    shop = models.ForeignKey("orders.Shop", on_delete=models.PROTECT, related_name="credit_notes")
    why = models.CharField(max_length=11, choices=WHY)
    reason = models.CharField("in words", max_length=200)
    anew = models.BooleanField(default=False)
    tax_point = models.DateField("set off or paid back on")
    # The same form sent twice makes one credit note.
    submission = models.UUIDField(null=True, unique=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(net=NET), name="credit_net_adds_up"),
            models.CheckConstraint(condition=Q(gross=GROSS), name="credit_gross_adds_up"),
            models.CheckConstraint(
                condition=Q(gross__gt=0, net__gte=0, vat__gte=0, allowance__gte=0, deposits__gte=0, carriage__gte=0),
                name="credit_above_nought",
            ),
            models.UniqueConstraint(fields=["invoice"], condition=Q(anew=True), name="credit_anew_once_an_invoice"),
        ]

    def __str__(self):
        return self.paper.number

    def get_absolute_url(self):
        return reverse("credit_note", args=[self.pk])


class CreditNoteLine(models.Model):
    """Pairs of an invoice's line at the price they were invoiced; without pairs it is an amount off that line."""

    note = models.ForeignKey(CreditNote, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    invoice_line = models.ForeignKey("orders.InvoiceLine", on_delete=models.PROTECT, related_name="credit_lines")
    pairs = models.PositiveIntegerField()
    net = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.UniqueConstraint(fields=["note", "invoice_line"], name="credit_line_once"),
            models.CheckConstraint(condition=Q(pairs__gt=0) | Q(net__gt=0), name="credit_line_takes_something"),
            models.CheckConstraint(condition=Q(net__gte=0), name="credit_line_not_below_nought"),
        ]


class CreditNoteVat(VatSums):
    note = models.ForeignKey(CreditNote, on_delete=models.PROTECT, related_name="vat_rows")

    class Meta:
        ordering = ["category", "-percent"]
        constraints = [models.UniqueConstraint(fields=["note", "category", "percent"], name="credit_vat_rate_once")]
