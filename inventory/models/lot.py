"""Lots and the movements that are their pairs."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

FIRSTS, SECONDS = "firsts", "seconds"
GRADES = [(FIRSTS, "firsts"), (SECONDS, "seconds")]

ADDING = ("made", "counted in", "returned")
TAKING = ("sent", "damaged", "remelted")
# "put right": a grading was counted off wrongly; "recounted" is what a count of the shelf finds.
EITHER = ("recounted", "regraded", "put right")
KINDS = [(kind, kind) for kind in (*ADDING, *TAKING, *EITHER)]


class Lot(models.Model):
    """Pairs of one candle and one grade from one frame or one count.

    `on_hand` and `set_aside` are counters that only inventory.domain.lots changes: on_hand is the sum of the
    lot's movements (`manage.py audit` re-adds it), set_aside the pairs of it promised to order lines.
    """

    code = models.CharField("code on the box", max_length=20, unique=True)
    candle = models.ForeignKey("inventory.Candle", on_delete=models.PROTECT, related_name="lots")
    grade = models.CharField(max_length=8, choices=GRADES)
    fault = models.CharField(max_length=40, blank=True, help_text="What made it a second.")
    # Lots of one dip run share a shade. Production fills it in; a counted-in lot carries none.
    dip_run = models.CharField(max_length=20, blank=True)
    shelf = models.ForeignKey("inventory.Shelf", on_delete=models.PROTECT, null=True, blank=True)
    made_on = models.DateField("dipped on")
    on_hand = models.PositiveIntegerField(default=0, editable=False)
    set_aside = models.PositiveIntegerField(default=0, editable=False)

    class Meta:
        ordering = ["made_on", "pk"]
        indexes = [
            models.Index(fields=["candle", "grade", "made_on"], name="lot_candle_grade"),
            models.Index(fields=["candle", "grade", "made_on"], condition=Q(on_hand__gt=0), name="lot_held"),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(grade__in=(FIRSTS, SECONDS)), name="lot_grade_known"),
            models.CheckConstraint(condition=Q(grade=SECONDS) | Q(fault=""), name="lot_firsts_have_no_fault"),
            models.CheckConstraint(
                condition=Q(set_aside__gte=0) & Q(set_aside__lte=F("on_hand")), name="lot_set_aside_within_on_hand"
            ),
        ]

    def __str__(self):
        return self.code

    def get_absolute_url(self):
        return reverse("lot", args=[self.pk])

    @property
    def free(self) -> int:
        return self.on_hand - self.set_aside


class Movement(models.Model):
    """Pairs that came into or left a lot. Append-only: triggers refuse update and delete."""

    lot = models.ForeignKey(Lot, on_delete=models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=12, choices=KINDS)
    pairs = models.IntegerField(help_text="Above nought into the lot, below nought out of it.")
    reason = models.CharField(max_length=200, blank=True)
    reference = models.CharField(max_length=40, blank=True, help_text="The paper or count that caused it.")
    # A form sent twice (a double click, the back button) moves the pairs once.
    submission = models.UUIDField(null=True, blank=True, unique=True, editable=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=(Q(kind__in=ADDING) & Q(pairs__gt=0))
                | (Q(kind__in=TAKING) & Q(pairs__lt=0))
                | (Q(kind__in=EITHER) & ~Q(pairs=0)),
                name="movement_sign_fits_kind",
            )
        ]

    def __str__(self):
        return f"{self.lot_id} {self.kind} {self.pairs:+d}"
