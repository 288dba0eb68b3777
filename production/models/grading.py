"""Counting a finished frame off: firsts, seconds by fault, remelt. hung = firsts + seconds + remelt."""

from django.conf import settings
from django.db import models
from django.db.models import Q


class Grading(models.Model):
    frame = models.OneToOneField("production.Frame", on_delete=models.PROTECT, related_name="grading")
    firsts = models.PositiveSmallIntegerField()
    seconds = models.PositiveSmallIntegerField()
    remelt = models.PositiveSmallIntegerField()
    lot = models.OneToOneField(
        "inventory.Lot",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="grading",
        help_text="The firsts.",
    )
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    # What the frame hung for when it was graded, copied down: [{"want": id, "for_whom", "wanted_by", "pairs", "got"}].
    # The wants themselves go once they are met; a grading put right later still knows who came short.
    promised = models.JSONField(default=list, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-at"]
        constraints = [
            models.CheckConstraint(condition=Q(firsts=0) | Q(lot__isnull=False), name="grading_firsts_have_a_lot"),
            models.CheckConstraint(
                condition=Q(firsts__gt=0) | Q(seconds__gt=0) | Q(remelt__gt=0), name="grading_counts_something"
            ),
        ]

    def __str__(self):
        return f"{self.frame}: {self.firsts} firsts, {self.seconds} seconds, {self.remelt} remelt"


class GradedFault(models.Model):
    """Seconds of one fault, with the lot they became."""

    grading = models.ForeignKey(Grading, on_delete=models.CASCADE, related_name="faults")
    fault = models.CharField(max_length=40)
    pairs = models.PositiveSmallIntegerField()
    lot = models.OneToOneField("inventory.Lot", on_delete=models.PROTECT, related_name="graded_fault")

    class Meta:
        ordering = ["fault"]
        constraints = [
            models.UniqueConstraint(fields=["grading", "fault"], name="graded_fault_once"),
            models.CheckConstraint(condition=Q(pairs__gt=0), name="graded_fault_positive"),
        ]


class WickEnds(models.Model):
    """Wick ends with their wax, weighed in as a by-product and sold by the bag as firelighters. Append-only.

    `grams` lie loose, `bags` stand filled; below nought they went. What is there is the sum of all rows.
    """

    KINDS = [("weighed in", "weighed in"), ("bagged", "bagged"), ("sold", "sold"), ("remelted", "remelted")]
    kind = models.CharField(max_length=12, choices=KINDS)
    grams = models.IntegerField(default=0)
    bags = models.IntegerField(default=0)
    note = models.CharField(max_length=200, blank=True)
    # The same form sent twice is one row.
    submission = models.UUIDField(null=True, blank=True, unique=True, editable=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        verbose_name_plural = "wick ends"
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(kind="weighed in", grams__gt=0, bags=0)
                | Q(kind="bagged", grams__lt=0, bags__gt=0)
                | Q(kind="sold", grams=0, bags__lt=0)
                | Q(kind="remelted", grams__lt=0, bags=0),
                name="wick_ends_fit_kind",
            )
        ]
