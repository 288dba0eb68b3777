"""The bank's files: how their columns are read (said once and kept), their lines, and what became of each."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

from orders.models.price import CURRENCIES, STERLING

DAY_ORDERS = [("dmy", "31/12/2026"), ("ymd", "2026-12-31"), ("mdy", "12/31/2026")]


class BankColumns(models.Model):
    """What the columns of one bank's files mean, by the names in their first row. Kept, and known again by them."""

    name = models.CharField("called", max_length=40, unique=True, help_text="The account, as you call it.")
    header = models.TextField("the first row, as the bank writes it", editable=False)
    currency = models.CharField(max_length=3, choices=CURRENCIES, default=STERLING)
    day = models.CharField(max_length=80)
    day_order = models.CharField(max_length=3, choices=DAY_ORDERS, default="dmy")
    amount = models.CharField(max_length=80, blank=True)
    money_in = models.CharField(max_length=80, blank=True)
    money_out = models.CharField(max_length=80, blank=True)
    text = models.CharField(max_length=80)
    reference = models.CharField(max_length=80, blank=True)
    currency_column = models.CharField(max_length=80, blank=True)

    class Meta:
        verbose_name_plural = "bank columns"
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(fields=["header"], name="bank_columns_once_a_header"),
            models.CheckConstraint(condition=~Q(amount="") | ~Q(money_in=""), name="bank_columns_have_amount"),
        ]

    def __str__(self):
        return self.name


class BankFile(models.Model):
    """A file as it came. Its lines are made once its columns are known."""

    name = models.CharField(max_length=120)
    content = models.TextField()
    sha256 = models.CharField(max_length=64, unique=True)
    columns = models.ForeignKey(BankColumns, on_delete=models.PROTECT, null=True, related_name="files")
    said = models.JSONField(default=list, help_text="What was left out when it was read, a sentence each.")
    read_at = models.DateTimeField()
    read_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-pk"]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("bank_file", args=[self.pk])


class BankLine(models.Model):
    """Money that came in, as the bank tells. Posted as one payment, put aside with a reason, or still waiting.

    `again` counts lines that read the same: the second of two alike in one file is 2. A line read before is not read
    in again, because day, amount, text, reference and that count are unique.
    """

    file = models.ForeignKey(BankFile, on_delete=models.PROTECT, related_name="lines")
    line = models.PositiveIntegerField("line of the file")
    on = models.DateField("day")
    currency = models.CharField(max_length=3, choices=CURRENCIES, default=STERLING)
    amount = models.DecimalField(max_digits=10, decimal_places=2)
    text = models.CharField(max_length=200)
    reference = models.CharField(max_length=140, blank=True)
    again = models.PositiveSmallIntegerField(default=1)
    payment = models.OneToOneField(
        "orders.Payment", on_delete=models.PROTECT, null=True, blank=True, related_name="bank_line"
    )
    aside = models.CharField("put aside because", max_length=120, blank=True)

    class Meta:
        ordering = ["file", "line"]
        constraints = [
            models.UniqueConstraint(
                fields=["on", "currency", "amount", "text", "reference", "again"], name="bank_line_read_once"
            ),
            models.CheckConstraint(condition=Q(amount__gt=0), name="bank_line_above_nought"),
            models.CheckConstraint(condition=Q(payment=None) | Q(aside=""), name="bank_line_one_fate"),
        ]

    def __str__(self):
        return f"{self.text} {self.reference}".strip()

    def get_absolute_url(self):
        return reverse("bank_line", args=[self.pk])
