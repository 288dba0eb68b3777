"""Carousels, kinds of frame and working hours: what the floor has, before anything hangs."""

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

WEEKDAYS = list(enumerate(("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")))


class Carousel(models.Model):
    name = models.CharField(max_length=40, unique=True)
    positions = models.PositiveSmallIntegerField(default=6, validators=[MinValueValidator(1), MaxValueValidator(12)])
    active = models.BooleanField("in use", default=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(positions__gte=1, positions__lte=12), name="carousel_has_positions")
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("carousel", args=[self.pk])


class FrameKind(models.Model):
    """Bars of a usable length. Pairs on it = bars x whole pitches; a pitch is `pitch` finished diameters."""

    name = models.CharField(max_length=40, unique=True)
    bars = models.PositiveSmallIntegerField(validators=[MinValueValidator(1), MaxValueValidator(20)])
    usable_mm = models.PositiveSmallIntegerField("usable length of a bar (mm)", validators=[MinValueValidator(50)])
    pitch = models.DecimalField(
        "pitch in finished diameters",
        max_digits=3,
        decimal_places=1,
        default=3,
        validators=[MinValueValidator(2), MaxValueValidator(6)],
    )
    iron_g = models.PositiveIntegerField("weight of the empty frame (g)", default=1500)
    over_mm = models.PositiveSmallIntegerField(
        "wick over the bar and left at the ends (mm a pair)",
        default=60,
        validators=[MaxValueValidator(500)],
        help_text="Threading draws twice the candle's length and this.",
    )
    active = models.BooleanField("in use", default=True)

    class Meta:
        verbose_name = "kind of frame"
        verbose_name_plural = "kinds of frame"
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(bars__gte=1, usable_mm__gte=50, pitch__gte=2), name="frame_kind_holds_something"
            )
        ]

    def __str__(self):
        return self.name


class WorkingDay(models.Model):
    """Hours of a weekday, local time. A weekday without a row is no working day."""

    weekday = models.PositiveSmallIntegerField(unique=True, choices=WEEKDAYS, validators=[MaxValueValidator(6)])
    starts = models.TimeField()
    ends = models.TimeField()

    class Meta:
        ordering = ["weekday"]
        constraints = [
            models.CheckConstraint(condition=Q(weekday__lte=6), name="working_day_in_week"),
            models.CheckConstraint(
                condition=Q(starts__lt=F("ends")),
                name="working_day_starts_before_it_ends",
                violation_error_message="The day ends before it starts.",
            ),
        ]

    def __str__(self):
        return f"{self.get_weekday_display()} {self.starts:%H:%M} to {self.ends:%H:%M}"


class DayOff(models.Model):
    day = models.DateField(unique=True)
    note = models.CharField(max_length=60, blank=True)

    class Meta:
        verbose_name = "day off"
        verbose_name_plural = "days off"
        ordering = ["day"]

    def __str__(self):
        return f"{self.day.day} {self.day:%B %Y}"
