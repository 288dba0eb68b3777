"""What came back of a delivery: taken into stock by grade or written off, credited, and sent again if wished."""

from django.conf import settings
from django.db import models
from django.db.models import Q


class Return(models.Model):
    """Append-only (triggers). `again` is the order that sends the same pairs once more."""

    delivery = models.ForeignKey("orders.Delivery", on_delete=models.PROTECT, related_name="returns")
    reason = models.CharField(max_length=200)
    came_on = models.DateField("came back on")
    note = models.OneToOneField("orders.CreditNote", on_delete=models.PROTECT, related_name="came_back")
    again = models.OneToOneField("orders.Order", on_delete=models.PROTECT, null=True, related_name="sent_again_for")
    submission = models.UUIDField(unique=True, help_text="The same form sent twice takes back once.")
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-pk"]


class ReturnLine(models.Model):
    """Pairs of one delivered lot: back as firsts or seconds, or broken (nothing of them is kept)."""

    back = models.ForeignKey(Return, on_delete=models.PROTECT, related_name="lines")
    delivery_line = models.ForeignKey("orders.DeliveryLine", on_delete=models.PROTECT, related_name="came_back")
    firsts = models.PositiveIntegerField(default=0)
    seconds = models.PositiveIntegerField(default=0)
    broken = models.PositiveIntegerField(default=0)
    fault = models.CharField(max_length=40, blank=True, help_text="What made seconds of them.")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["back", "delivery_line"], name="return_line_once"),
            models.CheckConstraint(
                condition=Q(firsts__gt=0) | Q(seconds__gt=0) | Q(broken__gt=0), name="return_line_takes_something"
            ),
        ]

    @property
    def pairs(self) -> int:
        return self.firsts + self.seconds + self.broken
