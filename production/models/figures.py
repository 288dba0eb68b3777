"""Figures the owner sets once for the whole floor."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q


class FloorFigures(models.Model):
    """One row, pk 1. `confidence`: how sure frames to hang, and pairs promised of a frame, must be."""

    confidence = models.DecimalField(
        "how sure the firsts must be",
        max_digits=3,
        decimal_places=2,
        default=Decimal("0.90"),
        validators=[MinValueValidator(Decimal("0.50")), MaxValueValidator(Decimal("0.99"))],
        help_text="0.90: nine times in ten at least as many firsts as counted on. Higher hangs more frames.",
    )
    faults_by_person = models.BooleanField(
        "show faults by person",
        default=False,
        help_text="Whose frames had which seconds. Off, nobody sees it; tell the dippers before you switch it on.",
    )
    plan_days = models.PositiveSmallIntegerField(
        "working days the dip plan looks ahead", default=15, validators=[MinValueValidator(1), MaxValueValidator(60)]
    )
    hands = models.PositiveSmallIntegerField(
        "hands that thread frames", default=2, validators=[MinValueValidator(1), MaxValueValidator(20)]
    )
    thread_minutes = models.PositiveSmallIntegerField(
        "minutes to thread a frame", default=15, validators=[MinValueValidator(1), MaxValueValidator(240)]
    )
    handling_seconds = models.PositiveSmallIntegerField(
        "seconds a frame takes at the vat, besides those in the wax",
        default=12,
        validators=[MinValueValidator(0), MaxValueValidator(300)],
    )
    change_colour_minutes = models.PositiveSmallIntegerField(
        "minutes to change a vat's colour",
        default=45,
        validators=[MaxValueValidator(1440)],
        help_text="Where no time is written down for that pair of colours.",
    )
    change_wax_minutes = models.PositiveSmallIntegerField(
        "minutes to change a vat's wax", default=120, validators=[MaxValueValidator(1440)]
    )
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        verbose_name_plural = "floor figures"
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="floor_figures_one_row"),
            models.CheckConstraint(
                condition=Q(confidence__gte=Decimal("0.50"), confidence__lte=Decimal("0.99")),
                name="floor_confidence_bounds",
            ),
        ]

    def __str__(self):
        return f"confidence {self.confidence}"
