"""Invoices: rows beside the frozen paper, so that ledgers can be added up without reading papers."""

from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Round
from django.urls import reverse

from inventory.models.candle import VAT_CLASSES
from inventory.models.workshop import ROUNDING

GOODS, DEPOSIT = "goods", "deposit"
DOMESTIC, EXPORT, NO_VAT = "domestic", "export", "no vat"
TREATMENTS = [(DOMESTIC, "within the United Kingdom"), (EXPORT, "export"), (NO_VAT, "not registered for VAT")]


class VatRate(models.Model):
    """What a VAT class costs from a day on. Category: UNCL5305 code as EN 16931 uses it; E says under which law."""

    CATEGORIES = [("S", "S: standard or reduced"), ("Z", "Z: zero rated"), ("E", "E: exempt")]
    vat_class = models.CharField("VAT class", max_length=8, choices=VAT_CLASSES)
    category = models.CharField(max_length=2, choices=CATEGORIES)
    percent = models.DecimalField(max_digits=4, decimal_places=2)
    since = models.DateField()
    reason = models.CharField(
        "why exempt", max_length=100, blank=True, help_text="Category E only: the law's place, as invoices print it."
    )

    class Meta:
        ordering = ["vat_class", "-since"]
        constraints = [
            models.UniqueConstraint(fields=["vat_class", "since"], name="vat_rate_once_a_day"),
            models.CheckConstraint(
                condition=Q(category__in=("Z", "E"), percent=0) | Q(category="S", percent__gt=0, percent__lt=100),
                name="vat_rate_fits_category",
                violation_error_message="Categories Z and E are 0 %%; category S is above 0 %%.",
            ),
            models.CheckConstraint(
                condition=~Q(category="E") | ~Q(reason=""),
                name="vat_rate_exempt_says_why",
                violation_error_message="An exempt class says why it is exempt.",
            ),
        ]

    def __str__(self):
        return f"{self.vat_class} {self.percent} % since {self.since}"


class ExchangeRate(models.Model):
    """Sterling for one unit of a currency from a day on: for the VAT in sterling on invoices in that currency."""

    currency = models.CharField(max_length=3, help_text="Three capital letters, as EUR.")
    since = models.DateField()
    sterling = models.DecimalField("GBP for one", max_digits=12, decimal_places=6)

    class Meta:
        ordering = ["currency", "-since"]
        constraints = [
            models.UniqueConstraint(fields=["currency", "since"], name="exchange_rate_once_a_day"),
            models.CheckConstraint(
                condition=Q(sterling__gt=0),
                name="exchange_rate_above_nought",
                violation_error_message="A rate is above nought.",
            ),
            models.CheckConstraint(
                condition=~Q(currency="GBP"),
                name="exchange_rate_not_of_sterling",
                violation_error_message="Sterling is the book's own currency.",
            ),
        ]

    def __str__(self):
        return f"1 {self.currency} = {self.sterling.normalize():f} GBP since {self.since}"


class LedgerSums(models.Model):
    """The sums of an invoice or a credit note, in `currency`; vat_sterling in GBP at `sterling` for one unit.

    goods - allowance - deposits + carriage = net; net + vat = gross. `allowance` is the orders' discount, `deposits`
    what was invoiced before the goods left; neither is below nought.
    """

    currency = models.CharField(max_length=3, default="GBP")
    sterling = models.DecimalField("GBP for one", max_digits=12, decimal_places=6, default=1)
    vat_rounding = models.CharField(max_length=8, choices=ROUNDING)
    goods = models.DecimalField("sum of lines", max_digits=10, decimal_places=2)
    allowance = models.DecimalField("order discount", max_digits=10, decimal_places=2, default=0)
    deposits = models.DecimalField("invoiced as deposit", max_digits=10, decimal_places=2, default=0)
    carriage = models.DecimalField(max_digits=8, decimal_places=2)
    net = models.DecimalField(max_digits=10, decimal_places=2)
    vat = models.DecimalField("VAT", max_digits=10, decimal_places=2)
    vat_sterling = models.DecimalField("VAT in GBP", max_digits=10, decimal_places=2, default=0)
    gross = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        abstract = True


# Rounded, because SQLite adds money as binary fractions.
NET = Round(F("goods") - F("allowance") - F("deposits") + F("carriage"), precision=2)
GROSS = Round(F("net") + F("vat"), precision=2)


class Invoice(LedgerSums):
    """Issued once, never changed (triggers). A deposit invoice has no deliveries: it names its order.

    prompt_*: what settles it if it is paid by that day, when the shop's terms offered that (None: they do not).
    """

    paper = models.OneToOneField("orders.Paper", on_delete=models.PROTECT, related_name="invoice")
    shop = models.ForeignKey("orders.Shop", on_delete=models.PROTECT, related_name="invoices")
    kind = models.CharField(max_length=7, choices=[(GOODS, GOODS), (DEPOSIT, DEPOSIT)], default=GOODS)
    order = models.ForeignKey("orders.Order", on_delete=models.PROTECT, null=True, related_name="deposit_invoices")
    treatment = models.CharField(max_length=8, choices=TREATMENTS, default=DOMESTIC)
    tax_point = models.DateField()
    due_on = models.DateField()
    prompt_by = models.DateField(null=True)
    prompt_percent = models.DecimalField(max_digits=4, decimal_places=2, null=True)
    prompt_vat = models.DecimalField(max_digits=10, decimal_places=2, null=True)
    prompt_gross = models.DecimalField(max_digits=10, decimal_places=2, null=True)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(net=NET), name="invoice_net_adds_up"),
            models.CheckConstraint(condition=Q(gross=GROSS), name="invoice_gross_adds_up"),
            models.CheckConstraint(
                condition=Q(kind=GOODS, order=None) | Q(kind=DEPOSIT, order__isnull=False),
                name="invoice_deposit_names_order",
            ),
            models.CheckConstraint(condition=Q(allowance__gte=0, deposits__gte=0), name="invoice_takes_off_no_less"),
        ]

    def __str__(self):
        return self.paper.number

    def get_absolute_url(self):
        return reverse("invoice", args=[self.pk])


class InvoicedDelivery(models.Model):
    """What was invoiced can't be invoiced again: unique by delivery and round.

    Round 0 is the first invoice. A credit note that takes an invoice back whole, to be issued anew, opens the next.
    """

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="deliveries")
    delivery = models.ForeignKey("orders.Delivery", on_delete=models.PROTECT, related_name="invoicings")
    round = models.PositiveSmallIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["delivery", "round"], name="delivery_invoiced_once_a_round")]


class InvoiceLine(models.Model):
    """Pairs of an order line at their price; or an amount (`net`) without pairs: a deposit, or firelighters."""

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="lines")
    position = models.PositiveSmallIntegerField()
    order_line = models.ForeignKey(
        "orders.OrderLine", on_delete=models.PROTECT, null=True, related_name="invoice_lines"
    )
    pairs = models.PositiveIntegerField()
    price = models.DecimalField("price a pair", max_digits=8, decimal_places=2)
    discount = models.DecimalField("discount (%)", max_digits=5, decimal_places=2)
    net = models.DecimalField(max_digits=10, decimal_places=2)
    category = models.CharField(max_length=2)
    percent = models.DecimalField(max_digits=4, decimal_places=2)

    class Meta:
        ordering = ["position"]
        constraints = [
            models.CheckConstraint(
                condition=Q(pairs__gt=0, order_line__isnull=False) | Q(pairs=0, order_line=None),
                name="invoice_line_pairs_positive",
            )
        ]

    @property
    def words(self) -> str:
        """What a line of no candle is for."""
        return "Deposit" if self.invoice.kind == DEPOSIT else "Firelighters, by the bag"


class VatSums(models.Model):
    """VAT of one category and rate: taxable = its goods - allowance - deposit + carriage."""

    category = models.CharField(max_length=2)
    percent = models.DecimalField(max_digits=4, decimal_places=2)
    taxable = models.DecimalField(max_digits=10, decimal_places=2)
    allowance = models.DecimalField("order discount", max_digits=10, decimal_places=2, default=0)
    deposit = models.DecimalField("invoiced as deposit", max_digits=10, decimal_places=2, default=0)
    carriage = models.DecimalField("of which carriage", max_digits=8, decimal_places=2)
    vat = models.DecimalField("VAT", max_digits=10, decimal_places=2)

    class Meta:
        abstract = True

    @property
    def goods(self):
        return self.taxable + self.allowance + self.deposit - self.carriage


class InvoiceVat(VatSums):
    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="vat_rows")

    class Meta:
        ordering = ["category", "-percent"]
        constraints = [
            models.UniqueConstraint(fields=["invoice", "category", "percent"], name="invoice_vat_rate_once")
        ]


class DepositDeducted(models.Model):
    """How much of a deposit invoice's net, at one of its rates, a later invoice over goods of the order took off."""

    invoice = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="deducted")
    deposit = models.ForeignKey(Invoice, on_delete=models.PROTECT, related_name="deducted_on")
    category = models.CharField(max_length=2)
    percent = models.DecimalField(max_digits=4, decimal_places=2)
    net = models.DecimalField(max_digits=10, decimal_places=2)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["invoice", "deposit", "category", "percent"], name="deposit_deducted_once_a_rate"
            ),
            models.CheckConstraint(condition=Q(net__gt=0), name="deposit_deducted_positive"),
        ]


class ExportEvidence(models.Model):
    """Proof that goods invoiced without VAT left the country: due three months after the tax point."""

    invoice = models.OneToOneField(Invoice, on_delete=models.PROTECT, related_name="evidence")
    due_by = models.DateField()
    received_on = models.DateField(null=True, blank=True)
    note = models.CharField("what it is", max_length=200, blank=True)

    class Meta:
        ordering = ["due_by", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(received_on=None) | ~Q(note=""),
                name="export_evidence_says_what",
                violation_error_message="Say what the evidence is.",
            )
        ]
