"""What the floor is asked for. Rows come from above as plain values, so the floor never looks up at the shops."""

from django.db import models
from django.db.models import Q


class Want(models.Model):
    """Pairs of firsts of one candle needed by a day. Added up by candle only when it is read."""

    candle = models.ForeignKey("inventory.Candle", on_delete=models.PROTECT, related_name="wants")
    pairs = models.PositiveIntegerField()
    wanted_by = models.DateField()
    for_whom = models.CharField(max_length=120)
    rank = models.PositiveSmallIntegerField(default=5)
    # Wants of one group leave together; with all_or_nothing none of them is worth anything alone.
    group = models.CharField(max_length=40, blank=True)
    all_or_nothing = models.BooleanField(default=False)
    made_at = models.DateTimeField()
    # False on a row that lock_wants has found nothing hanging for: while it is locked that stays so.
    may_hang = True

    class Meta:
        ordering = ["wanted_by", "rank", "pk"]
        constraints = [models.CheckConstraint(condition=Q(pairs__gt=0), name="want_pairs_positive")]

    def __str__(self):
        return f"{self.pairs} {self.candle_id} for {self.for_whom}"
