"""Frames: threaded for one candle, hung, dipped, taken off, hardened, graded."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.db.models.functions import Coalesce
from django.urls import reverse

THREADED, HANGING, OFF, GRADED, SCRAPPED = "threaded", "hanging", "off", "graded", "scrapped"
STATES = [
    (THREADED, "threaded"),
    (HANGING, "hanging"),
    (OFF, "taken off, hardening"),
    (GRADED, "graded"),
    (SCRAPPED, "scrapped"),
]


class Frame(models.Model):
    """One threading of a frame. `hung` pairs hang on it; `hung_for` is the sum of what it is hung for.

    `dips` counts over all stages, `stage_dips` in the present one. Only production.domain changes the counters.
    """

    code = models.CharField(max_length=12, unique=True)
    kind = models.ForeignKey("production.FrameKind", on_delete=models.PROTECT)
    candle = models.ForeignKey("inventory.Candle", on_delete=models.PROTECT, related_name="frames")
    state = models.CharField(max_length=8, choices=STATES, default=THREADED)
    hung = models.PositiveSmallIntegerField("pairs hung")
    hung_for = models.PositiveSmallIntegerField(default=0, editable=False)
    # What it was counted on for when it was threaded: history moves on, the promise was made on this.
    expected = models.PositiveSmallIntegerField("firsts counted on", null=True, blank=True, editable=False)
    carousel = models.ForeignKey(
        "production.Carousel", on_delete=models.PROTECT, null=True, blank=True, related_name="frames"
    )
    position = models.PositiveSmallIntegerField(null=True, blank=True)
    stage = models.PositiveSmallIntegerField(default=1, help_text="Place of the recipe's stage it is in.")
    dips = models.PositiveSmallIntegerField(default=0)
    stage_dips = models.PositiveSmallIntegerField(default=0)
    done = models.BooleanField("at gauge: not dipped any more", default=False)
    threaded_at = models.DateTimeField()
    threaded_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    off_at = models.DateTimeField(null=True, blank=True)
    hard_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["carousel", "position"], condition=Q(state=HANGING), name="frame_position_once"
            ),
            models.CheckConstraint(
                condition=Q(state=HANGING, carousel__isnull=False, position__isnull=False)
                | (~Q(state=HANGING) & Q(carousel__isnull=True, position__isnull=True)),
                name="frame_hangs_somewhere",
            ),
            models.CheckConstraint(
                condition=Q(hung__gt=0) & Q(hung_for__lte=F("hung")), name="frame_hung_for_within_hung"
            ),
            models.CheckConstraint(
                condition=Q(expected__isnull=True) | Q(hung_for__lte=F("expected")),
                name="frame_hung_for_within_expected",
            ),
            models.CheckConstraint(
                condition=~Q(state__in=(OFF, GRADED)) | Q(off_at__isnull=False), name="frame_off_has_time"
            ),
        ]

    def __str__(self):
        return self.code

    def get_absolute_url(self):
        return reverse("frame", args=[self.pk])


class HungFor(models.Model):
    """Pairs of firsts expected of a frame, promised to a want."""

    frame = models.ForeignKey(Frame, on_delete=models.CASCADE, related_name="promises")
    # drop_wants takes these rows off before their want; the database refuses a want that one still names.
    want = models.ForeignKey("production.Want", on_delete=models.DO_NOTHING, related_name="frames")
    pairs = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["frame", "want"], name="hung_for_want_once"),
            models.CheckConstraint(condition=Q(pairs__gt=0), name="hung_for_positive"),
        ]


class ReadingQuerySet(models.QuerySet):
    def standing(self):
        """Readings that count: neither struck out by a later row nor themselves only the striking out."""
        # Nearly every row voids none: asked for NULL, SQLite goes by that index through all readings ever taken.
        return self.alias(strikes=Coalesce("voids", 0)).filter(strikes=0, voided_by=None)


class GaugeReading(models.Model):
    """Measured base diameter after so many dips over all stages. Append-only.

    A wrong one is struck out by a later row that names it in `voids`; that row is no reading itself.
    """

    objects = ReadingQuerySet.as_manager()

    frame = models.ForeignKey(Frame, on_delete=models.PROTECT, related_name="readings")
    run = models.ForeignKey(
        "production.DipRun", on_delete=models.PROTECT, null=True, blank=True, related_name="readings"
    )
    stage = models.PositiveSmallIntegerField()
    dips = models.PositiveSmallIntegerField()
    mm = models.DecimalField(max_digits=5, decimal_places=2)
    voids = models.OneToOneField("self", on_delete=models.PROTECT, null=True, blank=True, related_name="voided_by")
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]
        constraints = [models.CheckConstraint(condition=Q(mm__gt=0), name="gauge_reading_above_nought")]
