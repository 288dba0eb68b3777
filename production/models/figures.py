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
