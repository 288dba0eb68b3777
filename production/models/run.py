"""Dip runs and what is done in them, step by step, so that the last step can be undone."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.urls import reverse

BY_CLOCK, BY_TAP = "clock", "tap"
STEPS = [
    (step, step)
    for step in (
        "begin",
        "turn",
        "hang",
        "take off",
        "mark done",
        "reading",
        "next stage",
        "rest",
        "resume",
        "end",
        "set right",
    )
]


class DipRun(models.Model):
    """Turns of one carousel over one vat. `resting` over night; `ended_at` when it moves to another vat or is over."""

    code = models.CharField(max_length=12, unique=True)
    carousel = models.ForeignKey("production.Carousel", on_delete=models.PROTECT, related_name="runs")
    vat = models.ForeignKey("production.Vat", on_delete=models.PROTECT, related_name="runs")
    # What the vat held then: it may be changed over before the frames are counted off.
    wax = models.ForeignKey("inventory.Wax", on_delete=models.PROTECT, editable=False, related_name="+")
    colour = models.ForeignKey("inventory.Colour", on_delete=models.PROTECT, editable=False, related_name="+")
    counting = models.CharField(max_length=5, choices=[(BY_CLOCK, "by the clock"), (BY_TAP, "by tap")], default=BY_TAP)
    turn_minutes = models.DecimalField(max_digits=4, decimal_places=1)
    turns = models.PositiveSmallIntegerField(default=0)
    # While counting by the clock: the moment from which whole turn times are counted.
    clock_from = models.DateTimeField(null=True, blank=True)
    resting = models.BooleanField(default=False)
    started_at = models.DateTimeField()
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    ended_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["carousel"], condition=Q(ended_at__isnull=True), name="run_one_a_carousel"
            ),
            models.UniqueConstraint(fields=["vat"], condition=Q(ended_at__isnull=True), name="run_one_a_vat"),
            models.CheckConstraint(condition=Q(turn_minutes__gt=0), name="run_turn_time_positive"),
        ]

    def __str__(self):
        return self.code

    def get_absolute_url(self):
        return reverse("carousel", args=[self.carousel_id])


class Step(models.Model):
    """One thing done in a run. `before` is what undoing it needs; the same `tap` sent again is one step."""

    run = models.ForeignKey(DipRun, on_delete=models.PROTECT, related_name="steps")
    kind = models.CharField(max_length=10, choices=STEPS)
    frame = models.ForeignKey(
        "production.Frame", on_delete=models.PROTECT, null=True, blank=True, related_name="steps"
    )
    turn = models.PositiveSmallIntegerField(null=True, blank=True)
    before = models.JSONField(default=dict)
    reason = models.CharField(max_length=200, blank=True)
    tap = models.UUIDField(unique=True, null=True, blank=True)
    undone = models.BooleanField(default=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["-pk"]


class RunFrame(models.Model):
    """Which frames a run dipped, and how often: the trace from lot to vat and wax."""

    run = models.ForeignKey(DipRun, on_delete=models.PROTECT, related_name="frames")
    frame = models.ForeignKey("production.Frame", on_delete=models.PROTECT, related_name="runs")
    dips = models.PositiveSmallIntegerField(default=0)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["run", "frame"], name="run_frame_once")]
