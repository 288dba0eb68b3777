"""What a packed box drew from stock: the box itself and its label."""

from django.db import models
from django.db.models import Q


class BoxUse(models.Model):
    """Pieces of a material that a closed box drew; gone with the box when it is unpacked. As production's FrameUse,
    `lot` is empty where the book's stock did not reach."""

    box = models.ForeignKey("orders.Box", on_delete=models.CASCADE, related_name="uses")
    material = models.ForeignKey("inventory.Material", on_delete=models.PROTECT, related_name="box_uses")
    lot = models.ForeignKey(
        "inventory.MaterialLot", on_delete=models.PROTECT, null=True, blank=True, related_name="box_uses"
    )
    amount = models.PositiveBigIntegerField()
    movement = models.OneToOneField(
        "inventory.MaterialMovement", on_delete=models.PROTECT, null=True, blank=True, related_name="box_use"
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="box_use_positive"),
            models.CheckConstraint(
                condition=Q(lot__isnull=True, movement__isnull=True) | Q(lot__isnull=False, movement__isnull=False),
                name="box_use_of_a_lot_moved_it",
            ),
        ]
