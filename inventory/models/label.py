"""Sheets of labels as bought: how many to a page, how large, and where the first one begins."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

MM = {"max_digits": 4, "decimal_places": 1}
SOME_MM = [MinValueValidator(Decimal(20)), MaxValueValidator(Decimal(420))]
ANY_MM = [MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(200))]
# SQLite adds decimals as floating point: five of 59.4 mm may come out a hair above 297.
A_HAIR = Decimal("0.01")
SOME = [MinValueValidator(1), MaxValueValidator(20)]


class LabelSheet(models.Model):
    """Lengths in mm, from the upper left corner of the page. The defaults are two rows of halves on A4."""

    name = models.CharField(max_length=40, unique=True)
    page_w_mm = models.DecimalField("page width (mm)", **MM, default=Decimal(210), validators=SOME_MM)
    page_h_mm = models.DecimalField("page height (mm)", **MM, default=Decimal(297), validators=SOME_MM)
    columns = models.PositiveSmallIntegerField("labels across", default=1, validators=SOME)
    rows = models.PositiveSmallIntegerField("labels down", default=2, validators=SOME)
    label_w_mm = models.DecimalField("label width (mm)", **MM, validators=SOME_MM)
    label_h_mm = models.DecimalField("label height (mm)", **MM, validators=SOME_MM)
    left_mm = models.DecimalField("first label from the left (mm)", **MM, default=Decimal(0), validators=ANY_MM)
    top_mm = models.DecimalField("first label from the top (mm)", **MM, default=Decimal(0), validators=ANY_MM)
    gap_x_mm = models.DecimalField("gap across (mm)", **MM, default=Decimal(0), validators=ANY_MM)
    gap_y_mm = models.DecimalField("gap down (mm)", **MM, default=Decimal(0), validators=ANY_MM)

    class Meta:
        ordering = ["-label_h_mm", "name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(columns__gt=0) & Q(rows__gt=0) & Q(label_w_mm__gt=0) & Q(label_h_mm__gt=0),
                name="label_sheet_has_labels",
            ),
            models.CheckConstraint(
                condition=Q(
                    page_w_mm__gte=F("left_mm")
                    + F("columns") * F("label_w_mm")
                    + (F("columns") - 1) * F("gap_x_mm")
                    - A_HAIR
                ),
                name="label_sheet_fits_across",
                violation_error_message="These labels reach past the right edge of the page.",
            ),
            models.CheckConstraint(
                condition=Q(
                    page_h_mm__gte=F("top_mm") + F("rows") * F("label_h_mm") + (F("rows") - 1) * F("gap_y_mm") - A_HAIR
                ),
                name="label_sheet_fits_down",
                violation_error_message="These labels reach past the lower edge of the page.",
            ),
        ]

    def __str__(self):
        return self.name

    @property
    def to_a_page(self) -> int:
        return self.columns * self.rows

    def clean(self):
        """Say it at the field one would change; the constraints say it again for whoever does not ask."""
        for many, size, first, gap, page, edge in (
            ("columns", "label_w_mm", "left_mm", "gap_x_mm", "page_w_mm", "right"),
            ("rows", "label_h_mm", "top_mm", "gap_y_mm", "page_h_mm", "lower"),
        ):
            given = [getattr(self, name) for name in (many, size, first, gap, page)]
            if any(value is None for value in given):
                continue
            number, length, start, between, room = given
            reach = start + number * length + (number - 1) * between
            if reach > room:
                said = f"{number} of {length:f} mm reach {reach:f} mm: past the {edge} edge of a page of {room:f} mm."
                raise ValidationError({size: said})
