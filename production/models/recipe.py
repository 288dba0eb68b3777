"""How a candle is dipped: stages in order, and what the workshop expects before its own history knows better."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q


class Recipe(models.Model):
    """One a candle. Diameters in mm. The firsts rate is a beta prior: `firsts_good` of `firsts_of` candles seen."""

    candle = models.OneToOneField("inventory.Candle", on_delete=models.CASCADE, related_name="recipe")
    start_mm = models.DecimalField("wick and priming (mm)", max_digits=4, decimal_places=1, default=Decimal("2.0"))
    gauge_low_mm = models.DecimalField("gauge from (mm)", max_digits=4, decimal_places=1)
    gauge_high_mm = models.DecimalField("gauge to (mm)", max_digits=4, decimal_places=1)
    harden_hours = models.PositiveSmallIntegerField(default=24, validators=[MaxValueValidator(240)])
    firsts_good = models.PositiveSmallIntegerField("firsts", default=45)
    firsts_of = models.PositiveSmallIntegerField("of pairs", default=48, validators=[MinValueValidator(1)])
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(start_mm__gt=0)
                & Q(start_mm__lt=F("gauge_low_mm"))
                & Q(gauge_low_mm__lt=F("gauge_high_mm")),
                name="recipe_gauge_in_order",
                violation_error_message="Start, lower and upper gauge must grow in that order.",
            ),
            models.CheckConstraint(
                condition=Q(firsts_good__gte=1) & Q(firsts_good__lt=F("firsts_of")),
                name="recipe_firsts_rate",
                violation_error_message="At least one first, and fewer firsts than pairs: no workshop is perfect.",
            ),
        ]

    def __str__(self):
        return f"recipe of {self.candle}"


class Stage(models.Model):
    """One wax and colour for a while. The last stage may be a finish: a fixed number of hotter dips for gloss."""

    recipe = models.ForeignKey(Recipe, on_delete=models.CASCADE, related_name="stages")
    place = models.PositiveSmallIntegerField()
    wax = models.ForeignKey("inventory.Wax", on_delete=models.PROTECT, related_name="+")
    colour = models.ForeignKey("inventory.Colour", on_delete=models.PROTECT, related_name="+")
    celsius = models.DecimalField("vat at (C)", max_digits=4, decimal_places=1)
    growth_mm = models.DecimalField(
        "growth a dip (mm)",
        max_digits=4,
        decimal_places=3,
        default=Decimal("0.600"),
        validators=[MinValueValidator(Decimal("0.05")), MaxValueValidator(Decimal("3"))],
    )
    seconds_in = models.PositiveSmallIntegerField(
        "seconds in the wax", default=3, validators=[MinValueValidator(1), MaxValueValidator(120)]
    )
    turn_minutes = models.DecimalField(
        "minutes a turn, at least",
        max_digits=4,
        decimal_places=1,
        default=Decimal("4"),
        validators=[MinValueValidator(Decimal("1"))],
    )
    until_mm = models.DecimalField(
        "until (mm)", max_digits=4, decimal_places=1, null=True, blank=True, help_text="Empty: until the gauge."
    )
    finish_dips = models.PositiveSmallIntegerField("finish dips", default=0, validators=[MaxValueValidator(5)])

    class Meta:
        ordering = ["place"]
        constraints = [
            models.UniqueConstraint(fields=["recipe", "place"], name="stage_place_once"),
            models.CheckConstraint(
                condition=Q(place__gte=1, growth_mm__gt=0, seconds_in__gte=1, turn_minutes__gte=1, celsius__gt=0),
                name="stage_figures_above_nought",
            ),
        ]

    def __str__(self):
        return f"{self.wax}, {self.colour}"
