"""Dates promised to shops, and what each rested on when it was given."""

from django.conf import settings
from django.db import models


class PromisedDate(models.Model):
    """The owner said: by this day. Append-only; the latest of an order counts.

    `rested_on`, a row a line: {"line", "candle", "pairs", "stock", "floor", "plan", "ready", "chance", "binds"}.
    """

    order = models.ForeignKey("orders.Order", on_delete=models.PROTECT, related_name="promised_dates")
    day = models.DateField()
    earliest = models.DateField(null=True, blank=True, help_text="What the book itself would have promised.")
    chance = models.DecimalField(max_digits=4, decimal_places=3, null=True, blank=True)
    rested_on = models.JSONField(default=list)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-pk"]

    def __str__(self):
        return f"order {self.order_id} by {self.day}"
