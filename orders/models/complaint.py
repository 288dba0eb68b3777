"""What shops complain of: which lot, how many pairs, what is wrong with them, and what was done."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

from orders.models.order import MOST_PAIRS


class Complaint(models.Model):
    """Written down once and closed once; what happens in between is put on record (subject "complaint").

    `found` is what the faults table counts of it.
    """

    shop = models.ForeignKey("orders.Shop", on_delete=models.PROTECT, related_name="complaints")
    lot = models.ForeignKey("inventory.Lot", on_delete=models.PROTECT, related_name="complaints")
    fault = models.CharField(max_length=40)
    pairs = models.PositiveIntegerField(validators=[MinValueValidator(1), MaxValueValidator(MOST_PAIRS)])
    told_on = models.DateField()
    words = models.CharField("what they said", max_length=400, blank=True)
    found = models.OneToOneField("production.FoundLater", on_delete=models.PROTECT, editable=False, related_name="+")
    done = models.CharField("what was done", max_length=400, blank=True)
    closed_on = models.DateField(null=True, blank=True)
    closed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    submission = models.UUIDField(unique=True, help_text="The same form sent twice is one complaint.")
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-told_on", "-pk"]
        constraints = [
            models.CheckConstraint(condition=Q(pairs__gt=0), name="complaint_pairs_positive"),
            models.CheckConstraint(
                condition=Q(closed_on__isnull=True, closed_by__isnull=True, done="")
                | (Q(closed_on__isnull=False, closed_by__isnull=False) & ~Q(done="")),
                name="complaint_closed_says_what_was_done",
            ),
        ]

    def __str__(self):
        return f"{self.fault}, {self.lot}"

    def get_absolute_url(self):
        return reverse("complaint", args=[self.pk])
