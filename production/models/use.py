"""What frames drew from stock, and wax that came back: the trace between candles and the lots of their materials."""

from django.conf import settings
from django.db import models
from django.db.models import Q


class FrameUse(models.Model):
    """Material that went into a frame, in the material's unit: wick when it was threaded, wax and dye when it was
    counted off. Append-only (triggers).

    `run` is the dip run that put the wax on. `lot` is empty where the book's stock did not reach: then nobody knows
    which lot it was, and the page says so. `movement` is the stock that was drawn.
    """

    frame = models.ForeignKey("production.Frame", on_delete=models.PROTECT, related_name="uses")
    run = models.ForeignKey("production.DipRun", on_delete=models.PROTECT, null=True, blank=True, related_name="uses")
    material = models.ForeignKey("inventory.Material", on_delete=models.PROTECT, related_name="frame_uses")
    lot = models.ForeignKey(
        "inventory.MaterialLot", on_delete=models.PROTECT, null=True, blank=True, related_name="frame_uses"
    )
    amount = models.PositiveBigIntegerField()
    movement = models.OneToOneField(
        "inventory.MaterialMovement", on_delete=models.PROTECT, null=True, blank=True, related_name="frame_use"
    )
    at = models.DateTimeField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="frame_use_positive"),
            models.CheckConstraint(
                condition=Q(lot__isnull=True, movement__isnull=True) | Q(lot__isnull=False, movement__isnull=False),
                name="frame_use_of_a_lot_moved_it",
            ),
        ]


class Remelt(models.Model):
    """Wax that came back into stock: remelt of gradings, seconds and ends of one wax and colour, melted and weighed.

    `lot` is the material lot it became; `left` what was still lying for remelt afterwards, where somebody looked: what
    is reckoned begins anew from there. Append-only (triggers).
    """

    lot = models.OneToOneField("inventory.MaterialLot", on_delete=models.PROTECT, related_name="remelt")
    wax = models.ForeignKey("inventory.Wax", on_delete=models.PROTECT, related_name="+")
    colour = models.ForeignKey("inventory.Colour", on_delete=models.PROTECT, related_name="+")
    grams = models.PositiveIntegerField()
    left = models.PositiveIntegerField("still lying for remelt (g)", null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    submission = models.UUIDField(unique=True)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]
        constraints = [models.CheckConstraint(condition=Q(grams__gt=0), name="remelt_positive")]
