"""Late payment: the base rate by day, and what was charged for a debt paid late. Nothing is charged by itself."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Round
from django.urls import reverse

POLICIES = [("exact", "to the penny at the end"), ("day", "the day's interest to the penny first")]


class BaseRate(models.Model):
    """The Bank of England's base rate from a day on, in percent a year."""

    percent = models.DecimalField(
        max_digits=4, decimal_places=2, validators=[MinValueValidator(0), MaxValueValidator(30)]
    )
    since = models.DateField(unique=True, help_text="The first day it was in force.")

    class Meta:
        ordering = ["-since"]
        constraints = [
            models.CheckConstraint(condition=Q(percent__gte=0, percent__lte=30), name="base_rate_bounds"),
        ]

    def __str__(self):
        return f"{self.percent} % since {self.since}"


class LateCharge(models.Model):
    """Interest and fixed sum for one invoice paid late, with a paper of its own; no VAT. Append-only (triggers).

    Interest is simple, at `percent` a year, for the days from `since` to `until`, both included.
    """

    paper = models.OneToOneField("orders.Paper", on_delete=models.PROTECT, related_name="late_charge")
    shop = models.ForeignKey("orders.Shop", on_delete=models.PROTECT, related_name="late_charges")
    invoice = models.ForeignKey("orders.Invoice", on_delete=models.PROTECT, related_name="late_charges")
    currency = models.CharField(max_length=3, default="GBP")
    percent = models.DecimalField("base rate and 8", max_digits=5, decimal_places=2)
    since = models.DateField()
    until = models.DateField()
    policy = models.CharField(max_length=5, choices=POLICIES)
    interest = models.DecimalField(max_digits=10, decimal_places=2)
    fixed = models.DecimalField("fixed sum", max_digits=6, decimal_places=2)
    amount = models.DecimalField(max_digits=10, decimal_places=2)
    due_on = models.DateField()

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(amount=Round(F("interest") + F("fixed"), precision=2)), name="late_charge_adds_up"
            ),
            models.CheckConstraint(condition=Q(interest__gte=0, fixed__gte=0, amount__gt=0), name="late_charge_signs"),
            models.CheckConstraint(condition=Q(until__gte=F("since")), name="late_charge_days_run_on"),
            models.UniqueConstraint(fields=["invoice", "until"], name="late_charge_once_a_day"),
        ]

    def __str__(self):
        return self.paper.number

    def get_absolute_url(self):
        return reverse("late_charge", args=[self.pk])


class LateWaiver(models.Model):
    """A late charge let go: from then on nothing of it is owed. Append-only (triggers)."""

    charge = models.OneToOneField(LateCharge, on_delete=models.PROTECT, related_name="waiver")
    reason = models.CharField(max_length=200)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
