"""Payments: what came in, what was paid back, what bounced, and which papers each settles.

All rows are append-only (triggers). A wrong posting stays, and a counter posting stands beside it: a part of the
opposite sign, or a payment that takes another back whole.
"""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from orders.models.price import CURRENCIES, STERLING
from orders.money import in_pounds

CAME_IN, PAID_BACK, BOUNCED, MISTAKE = "in", "back", "bounced", "mistake"
KINDS = [
    (CAME_IN, "payment"),
    (PAID_BACK, "refund"),
    (BOUNCED, "bounced"),
    (MISTAKE, "entered by mistake"),
]
TAKING_BACK = (BOUNCED, MISTAKE)
HOW = [("bank", "bank transfer"), ("cheque", "cheque"), ("card", "card"), ("cash", "cash"), ("other", "other")]


class Payment(models.Model):
    """An amount above nought in `currency`. `reverses` is the payment that a bounce or a mistake takes back whole."""

    kind = models.CharField(max_length=8, choices=KINDS, default=CAME_IN)
    shop = models.ForeignKey("orders.Shop", on_delete=models.PROTECT, related_name="payments")
    currency = models.CharField(max_length=3, choices=CURRENCIES, default=STERLING)
    amount = models.DecimalField(max_digits=10, decimal_places=2)
    on = models.DateField("day")
    how = models.CharField("how it came", max_length=6, choices=HOW, default="bank")
    reference = models.CharField("as the bank wrote it", max_length=140, blank=True)
    reason = models.CharField(max_length=200, blank=True)
    reverses = models.OneToOneField("self", on_delete=models.PROTECT, null=True, related_name="taken_back")
    # The same form sent twice is one payment.
    submission = models.UUIDField(null=True, unique=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="payment_above_nought"),
            models.CheckConstraint(
                condition=Q(kind__in=TAKING_BACK, reverses__isnull=False)
                | (~Q(kind__in=TAKING_BACK) & Q(reverses__isnull=True)),
                name="payment_taken_back_names_it",
            ),
        ]

    def __str__(self):
        return f"{self.get_kind_display()} of {in_pounds(self.amount)} {self.currency}"

    def get_absolute_url(self):
        return reverse("payment", args=[self.pk])


class PaymentPart(models.Model):
    """Part of a payment that came in, put against one invoice, late charge or refund; the rest of it is on account.

    Below nought it takes an earlier part off again. Of one payment and one paper the parts never add up below nought.
    """

    payment = models.ForeignKey(Payment, on_delete=models.PROTECT, related_name="parts")
    invoice = models.ForeignKey("orders.Invoice", on_delete=models.PROTECT, null=True, related_name="paid_parts")
    late_charge = models.ForeignKey(
        "orders.LateCharge", on_delete=models.PROTECT, null=True, related_name="paid_parts"
    )
    refund = models.ForeignKey(Payment, on_delete=models.PROTECT, null=True, related_name="out_of")
    amount = models.DecimalField(max_digits=10, decimal_places=2)
    reason = models.CharField(max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]
        # With the amount in them: what is open is added up from the index alone, and a shop's years of parts lie all
        # over the table.
        indexes = [
            models.Index(fields=["payment", "amount"], name="part_of_payment"),
            models.Index(fields=["invoice", "amount"], name="part_of_invoice"),
        ]
        constraints = [
            models.CheckConstraint(condition=~Q(amount=0), name="payment_part_not_nought"),
            models.CheckConstraint(
                condition=Q(invoice__isnull=False, late_charge=None, refund=None)
                | Q(invoice=None, late_charge__isnull=False, refund=None)
                | Q(invoice=None, late_charge=None, refund__isnull=False),
                name="payment_part_has_one_aim",
            ),
        ]


class PromptTaken(models.Model):
    """The discount an invoice offered for prompt payment, taken with a payment. No credit note follows (terms).

    `gross` and its `vat` come off the invoice; below nought they stand against it again, when that payment is taken
    back.
    """

    invoice = models.ForeignKey("orders.Invoice", on_delete=models.PROTECT, related_name="prompt_taken")
    payment = models.ForeignKey(Payment, on_delete=models.PROTECT, related_name="prompt_taken")
    gross = models.DecimalField(max_digits=10, decimal_places=2)
    vat = models.DecimalField("of which VAT", max_digits=10, decimal_places=2)
    on = models.DateField("day")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [models.CheckConstraint(condition=~Q(gross=0), name="prompt_taken_not_nought")]
