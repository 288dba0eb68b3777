"""A stock count: printed, walked, typed in, its differences seen before they are posted."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.db.models.functions import Coalesce
from django.urls import reverse


class StockCount(models.Model):
    started_at = models.DateTimeField()
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    shelf = models.ForeignKey(
        "inventory.Shelf", on_delete=models.PROTECT, null=True, blank=True, help_text="Empty: the whole stockroom."
    )
    # When the shelves were walked: a difference is against what the book said at that moment.
    counted_at = models.DateTimeField(null=True, blank=True)
    posted_at = models.DateTimeField(null=True, blank=True, editable=False)
    posted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["-started_at"]
        constraints = [
            # Two open sheets of one shelf would be typed in half each.
            models.UniqueConstraint(
                Coalesce("shelf", 0), condition=Q(posted_at__isnull=True), name="count_open_once_a_shelf"
            ),
            models.CheckConstraint(
                condition=Q(posted_at__isnull=True, posted_by__isnull=True)
                | Q(posted_at__isnull=False, posted_by__isnull=False),
                name="count_posted_by_somebody",
            ),
        ]

    def __str__(self):
        return f"Count {self.pk}"

    def get_absolute_url(self):
        return reverse("stock_count", args=[self.pk])


class StockCountRow(models.Model):
    """One lot on the sheet. `expected` is what the book said when the sheet was made."""

    count = models.ForeignKey(StockCount, on_delete=models.CASCADE, related_name="rows")
    lot = models.ForeignKey("inventory.Lot", on_delete=models.PROTECT, related_name="+")
    expected = models.PositiveIntegerField()
    counted = models.PositiveIntegerField(null=True, blank=True)

    class Meta:
        ordering = ["lot__shelf__walk", "lot__shelf__code", "lot__candle__code", "lot__made_on", "pk"]
        constraints = [models.UniqueConstraint(fields=["count", "lot"], name="count_row_lot_once")]
