"""Test burns: three samples of a candle burnt down in cycles, and what was seen at each."""

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

SAMPLES = 3
GRAMS = {"max_digits": 7, "decimal_places": 2}


class BurnTest(models.Model):
    """A candle as it is made now; `wick` and `wax` are copied, because a test says nothing of another wick or wax."""

    candle = models.ForeignKey("inventory.Candle", on_delete=models.PROTECT, related_name="burn_tests")
    lot = models.ForeignKey(
        "inventory.Lot", on_delete=models.PROTECT, null=True, blank=True, related_name="burn_tests"
    )
    wick = models.CharField(max_length=40)
    wax = models.CharField(max_length=40)
    begun_on = models.DateField()
    note = models.CharField(max_length=200, blank=True)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    submission = models.UUIDField(unique=True, editable=False)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["-begun_on", "-pk"]

    def __str__(self):
        return f"test burn {self.pk} of {self.candle.code}"

    def get_absolute_url(self):
        return reverse("burn_test", args=[self.pk])


class BurnSample(models.Model):
    """One of the test's samples, weighed before it was lit (g, one candle)."""

    test = models.ForeignKey(BurnTest, on_delete=models.CASCADE, related_name="samples")
    number = models.PositiveSmallIntegerField()
    mass_g = models.DecimalField("weighs (g)", **GRAMS, validators=[MinValueValidator(Decimal("0.1"))])

    class Meta:
        ordering = ["number"]
        constraints = [
            models.UniqueConstraint(fields=["test", "number"], name="burn_sample_once"),
            models.CheckConstraint(condition=Q(number__gte=1, number__lte=SAMPLES), name="burn_sample_one_of_three"),
            models.CheckConstraint(condition=Q(mass_g__gt=0), name="burn_sample_weighs_something"),
        ]

    def __str__(self):
        return f"sample {self.number}"


class BurnCycle(models.Model):
    """One burn of a sample, from lighting to the end of its glow. Minutes, g, mm, seconds; soot index an hour."""

    sample = models.ForeignKey(BurnSample, on_delete=models.CASCADE, related_name="cycles")
    number = models.PositiveSmallIntegerField()
    rest_min = models.PositiveIntegerField("rested before (min)", default=0, validators=[MaxValueValidator(100_000)])
    minutes = models.PositiveSmallIntegerField(
        "burnt (min)", validators=[MinValueValidator(1), MaxValueValidator(1440)]
    )
    mass_g = models.DecimalField("weighs after (g)", **GRAMS, validators=[MinValueValidator(0)])
    flame_mm = models.PositiveSmallIntegerField("tallest flame (mm)", validators=[MaxValueValidator(500)])
    glow_s = models.DecimalField(
        "smoke and glow after (s)",
        max_digits=5,
        decimal_places=1,
        validators=[MinValueValidator(0), MaxValueValidator(3600)],
    )
    relit = models.BooleanField("lit itself again", default=False)
    soot_index = models.DecimalField(
        "soot index an hour",
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
        help_text="Empty: not measured.",
    )
    note = models.CharField(max_length=200, blank=True)
    burnt_on = models.DateField()
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    submission = models.UUIDField(unique=True, editable=False)

    class Meta:
        ordering = ["sample__number", "number"]
        constraints = [
            models.UniqueConstraint(fields=["sample", "number"], name="burn_cycle_once"),
            models.CheckConstraint(condition=Q(minutes__gt=0), name="burn_cycle_burnt"),
            models.CheckConstraint(condition=Q(mass_g__gte=0), name="burn_cycle_mass_not_negative"),
        ]
