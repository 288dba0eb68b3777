"""What work and heat cost: figures the owner sets once, for the cost of a pair."""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q

GAS, ELECTRICITY = "gas", "electricity"


class CostFigures(models.Model):
    """One row, pk 1. Money in GBP without VAT; the minutes are a person's, not the clock's."""

    pay_hour = models.DecimalField(
        "an hour's work costs (GBP)", max_digits=6, decimal_places=2, default=Decimal("16.00"),
        validators=[MinValueValidator(0), MaxValueValidator(500)],
    )  # fmt: skip
    turn_seconds = models.PositiveSmallIntegerField(
        "seconds of work a frame and dip", default=15, validators=[MaxValueValidator(600)]
    )
    grade_minutes = models.PositiveSmallIntegerField(
        "minutes to level, cut off and count a frame", default=20, validators=[MaxValueValidator(480)]
    )
    pack_minutes = models.PositiveSmallIntegerField(
        "minutes to pack a box", default=6, validators=[MaxValueValidator(240)]
    )
    heated_by = models.CharField(max_length=11, choices=[(GAS, GAS), (ELECTRICITY, ELECTRICITY)], default=ELECTRICITY)
    energy_price = models.DecimalField(
        "a kWh costs (GBP)", max_digits=6, decimal_places=4, default=Decimal("0.2500"),
        validators=[MinValueValidator(0), MaxValueValidator(10)],
    )  # fmt: skip
    heat_share = models.PositiveSmallIntegerField(
        "of that heat reaches the wax (%)", default=70, validators=[MinValueValidator(1), MaxValueValidator(100)],
        help_text="The rest keeps vat and room warm.",
    )  # fmt: skip
    room_c = models.DecimalField(
        "wax is stored at (C)", max_digits=4, decimal_places=1, default=20,
        validators=[MinValueValidator(-10), MaxValueValidator(45)],
    )  # fmt: skip
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        verbose_name_plural = "cost figures"
        constraints = [
            models.CheckConstraint(condition=Q(pk=1), name="cost_figures_one_row"),
            models.CheckConstraint(
                condition=Q(pay_hour__gte=0, energy_price__gte=0, heat_share__gte=1, heat_share__lte=100),
                name="cost_figures_bounds",
            ),
        ]

    def __str__(self):
        return "cost figures"
