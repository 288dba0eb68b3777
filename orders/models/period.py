"""Periods closed in the books. Append-only: the latest row says how far they are closed."""

from django.conf import settings
from django.db import models


class PeriodClose(models.Model):
    """The books are closed up to and including `until` from `at` on; None: opened again altogether."""

    until = models.DateField(null=True)
    reason = models.CharField("why they were opened again", max_length=200, blank=True)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-pk"]

    def __str__(self):
        return f"closed until {self.until}" if self.until else "open"
