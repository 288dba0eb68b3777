"""Invoices: rows beside the frozen paper, so that ledgers can be added up without reading papers."""

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Round
from django.urls import reverse

from inventory.models.candle import VAT_CLASSES
from inventory.models.workshop import ROUNDING


class VatRate(models.Model):
    """What a VAT class costs from a day on. Category: UNCL5305 code as EN 16931 uses it."""

    vat_class = models.CharField("VAT class", max_length=8, choices=VAT_CLASSES)
    category = models.CharField(max_length=2, choices=[("S", "S: standard or reduced"), ("Z", "Z: zero rated")])
    percent = models.DecimalField(max_digits=4, decimal_places=2)
    since = models.DateField()

    class Meta:
        ordering = ["vat_class", "-since"]
        constraints = [
            models.UniqueConstraint(fields=["vat_class", "since"], name="vat_rate_once_a_day"),
            models.CheckConstraint(
                condition=Q(category="Z", percent=0) | Q(category="S", percent__gt=0, percent__lt=100),
                name="vat_rate_fits_category",
                violation_error_message="Category Z is 0 %%; category S is above 0 %%.",
            ),
        ]

    def __str__(self):
        return f"{self.vat_class} {self.percent} % since {self.since}"


class Invoice(models.Model):
    """Issued once, never changed (triggers). net, vat, gross in GBP; gross = net + vat always."""

    paper = models.OneToOneField("orders.Paper", on_delete=models.PROTECT, related_name="invoice")
    shop = models.ForeignKey("orders.Shop", on_delete=models.PROTECT, related_name="invoices")
    tax_point = models.DateField()
    due_on = models.DateField()
    vat_rounding = models.CharField(max_length=8, choices=ROUNDING)
    goods = models.DecimalField("sum of lines", max_digits=10, decimal_places=2)
    carriage = models.DecimalField(max_digits=8, decimal_places=2)
    net = models.DecimalField(max_digits=10, decimal_places=2)
    vat = models.DecimalField("VAT", max_digits=10, decimal_places=2)
    gross = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        ordering = ["-pk"]
        # Rounded, because SQLite adds money as binary fractions.
        constraints = [
            models.CheckConstraint(
                condition=Q(net=Round(F("goods") + F("carriage"), precision=2)), name="invoice_net_adds_up"
            ),
            models.CheckConstraint(
                condition=Q(gross=Round(F("net") + F("vat"), precision=2)), name="invoice_gross_adds_up"
            ),
        ]

    def __str__(self):
        return self.paper.number

    def get_absolute_url(self):
        return reverse("invoice", args=[self.pk])


class InvoicedDelivery(models.Model):
    """What was invoiced can't be invoiced again: one row a delivery, unique."""

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="deliveries")
    delivery = models.OneToOneField("orders.Delivery", on_delete=models.PROTECT, related_name="invoiced")


class InvoiceLine(models.Model):
    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    order_line = models.ForeignKey("orders.OrderLine", on_delete=models.PROTECT, related_name="invoice_lines")
    pairs = models.PositiveIntegerField()
    price = models.DecimalField("price a pair", max_digits=8, decimal_places=2)
    discount = models.DecimalField("discount (%)", max_digits=5, decimal_places=2)
    net = models.DecimalField(max_digits=10, decimal_places=2)
    category = models.CharField(max_length=2)
    percent = models.DecimalField(max_digits=4, decimal_places=2)

    class Meta:
        ordering = ["position"]
        constraints = [models.CheckConstraint(condition=Q(pairs__gt=0), name="invoice_line_pairs_positive")]


class InvoiceVat(models.Model):
    """VAT of one category and rate: `taxable` is lines plus the rate's part of the carriage."""

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="vat_rows")
    category = models.CharField(max_length=2)
    percent = models.DecimalField(max_digits=4, decimal_places=2)
    taxable = models.DecimalField(max_digits=10, decimal_places=2)
    carriage = models.DecimalField("of which carriage", max_digits=8, decimal_places=2)
    vat = models.DecimalField("VAT", max_digits=10, decimal_places=2)

    class Meta:
        ordering = ["category", "-percent"]
        constraints = [
            models.UniqueConstraint(fields=["invoice", "category", "percent"], name="invoice_vat_rate_once")
        ]
