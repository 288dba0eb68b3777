"""Faults that came to light after grading, as shops told of them: plain values, so that the floor never looks up."""

from django.db import models
from django.db.models import Q


class FoundLater(models.Model):
    """Pairs of a lot in which somebody found a fault once they had left. `counts` is off where it was none of ours."""

    lot = models.ForeignKey("inventory.Lot", on_delete=models.PROTECT, related_name="found_later")
    fault = models.CharField(max_length=40)
    pairs = models.PositiveIntegerField()
    day = models.DateField()
    counts = models.BooleanField(default=True)

    class Meta:
        verbose_name_plural = "faults found later"
        ordering = ["day", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(pairs__gt=0), name="found_later_positive"),
            models.CheckConstraint(condition=~Q(fault=""), name="found_later_has_fault"),
        ]
