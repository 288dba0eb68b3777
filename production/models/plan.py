"""The dip plan as the book keeps it: searches, the plan that stands, its frames, and what the owner pinned."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

WAITING, WORKING, FOUND, STOPPED, CANCELLED, FAILED = "waiting", "working", "found", "stopped", "cancelled", "failed"
STATES = [(state, state) for state in (WAITING, WORKING, FOUND, STOPPED, CANCELLED, FAILED)]
EFFORTS = [("quick", "quick"), ("normal", "normal"), ("long", "long")]


class ChangeOver(models.Model):
    """Minutes of work to empty, clean and fill a vat, from one wax and colour to another. Pairs not written here take
    the floor's own figures."""

    from_wax = models.ForeignKey("inventory.Wax", on_delete=models.CASCADE, related_name="+")
    from_colour = models.ForeignKey("inventory.Colour", on_delete=models.CASCADE, related_name="+")
    to_wax = models.ForeignKey("inventory.Wax", on_delete=models.CASCADE, related_name="+")
    to_colour = models.ForeignKey("inventory.Colour", on_delete=models.CASCADE, related_name="+")
    minutes = models.PositiveSmallIntegerField(validators=[MaxValueValidator(1440)])

    class Meta:
        verbose_name = "change-over time"
        verbose_name_plural = "change-over times"
        ordering = ["from_wax", "from_colour", "to_wax", "to_colour"]
        constraints = [
            models.UniqueConstraint(
                fields=["from_wax", "from_colour", "to_wax", "to_colour"], name="change_over_pair_once"
            ),
            models.CheckConstraint(
                condition=~Q(from_wax=F("to_wax")) | ~Q(from_colour=F("to_colour")),
                name="change_over_changes_something",
                violation_error_message="From and to are the same.",
            ),
        ]

    def __str__(self):
        before, after = f"{self.from_wax} in {self.from_colour}", f"{self.to_wax} in {self.to_colour}"
        return f"from {before} to {after}"


class PlanSearch(models.Model):
    """One search for a plan, and its own record of how far it is: a killed worker leaves its task marked as running,
    so the lease decides whether anybody is at it.

    `problem` is what it was asked (production.dip_plan's instance format), `facts` a digest by part of what that was
    made from, `found` the best plan so far. With `what_if` it is a trial beside the plan that stands.
    """

    state = models.CharField(max_length=9, choices=STATES, default=WAITING)
    effort = models.CharField(max_length=6, choices=EFFORTS, default="normal")
    seed = models.PositiveIntegerField(default=1)
    days = models.PositiveSmallIntegerField(default=10)
    keeps_first_day = models.BooleanField(default=True)
    what_if = models.JSONField(default=dict, blank=True)
    beside = models.ForeignKey("self", on_delete=models.SET_NULL, null=True, blank=True, related_name="trials")
    problem = models.JSONField(default=dict, blank=True)
    facts = models.JSONField(default=dict, blank=True)
    found = models.JSONField(default=dict, blank=True)
    moves, moves_in_all = models.PositiveIntegerField(default=0), models.PositiveIntegerField(default=0)
    said = models.TextField(blank=True)
    cancel = models.BooleanField(default=False)
    asked_at = models.DateTimeField()
    asked_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    worker = models.CharField(max_length=64, blank=True)
    started_at = models.DateTimeField(null=True, blank=True)
    beat_at = models.DateTimeField(null=True, blank=True)
    lease_until = models.DateTimeField(null=True, blank=True)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        verbose_name_plural = "plan searches"
        ordering = ["-pk"]


class DipPlan(models.Model):
    """A plan the owner took over. One stands; the others are kept for what they promised."""

    search = models.OneToOneField(PlanSearch, on_delete=models.PROTECT, null=True, blank=True, related_name="plan")
    stands = models.BooleanField(default=True)
    begins = models.DateTimeField(help_text="Second 0 of its work clock.")
    # The plan as production.dip_plan has it, with the problem it answers: pages and ready-by read it from here.
    problem = models.JSONField()
    answer = models.JSONField()
    facts = models.JSONField(default=dict)
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["-pk"]
        constraints = [
            models.UniqueConstraint(fields=["stands"], condition=Q(stands=True), name="dip_plan_one_stands")
        ]


class PlannedFrame(models.Model):
    """A frame still to be threaded, as the plan that stands has it; `frame` once it is.

    `starts`, `first_dip`, `last_dip`: aware times, to the turn. `rests`: nights it hangs through.
    """

    plan = models.ForeignKey(DipPlan, on_delete=models.CASCADE, related_name="frames")
    number = models.PositiveSmallIntegerField(help_text="Its place in the plan, from nought.")
    candle = models.ForeignKey("inventory.Candle", on_delete=models.PROTECT, related_name="planned_frames")
    kind = models.ForeignKey("production.FrameKind", on_delete=models.PROTECT, related_name="+")
    pairs = models.PositiveSmallIntegerField("pairs to hang")
    counted = models.PositiveSmallIntegerField("firsts counted on")
    vat = models.ForeignKey("production.Vat", on_delete=models.PROTECT, related_name="planned_frames")
    carousel = models.ForeignKey("production.Carousel", on_delete=models.PROTECT, related_name="planned_frames")
    position = models.PositiveSmallIntegerField()
    starts = models.DateTimeField()
    first_dip = models.DateTimeField()
    last_dip = models.DateTimeField()
    rests = models.PositiveSmallIntegerField(default=0)
    hard_at = models.DateTimeField()
    ready_on = models.DateField()
    why = models.CharField(max_length=300)
    frame = models.OneToOneField(
        "production.Frame", on_delete=models.SET_NULL, null=True, blank=True, related_name="planned_as"
    )

    class Meta:
        ordering = ["starts", "number"]
        constraints = [
            models.UniqueConstraint(fields=["plan", "number"], name="planned_frame_number_once"),
            models.CheckConstraint(
                condition=Q(pairs__gt=0) & Q(counted__lte=F("pairs")), name="planned_frame_counts_within_pairs"
            ),
        ]

    def __str__(self):
        return f"planned frame {self.number + 1}"


class PlannedFor(models.Model):
    """Pairs of firsts of a planned frame meant for a want. The want may have shrunk since: readers cap it."""

    frame = models.ForeignKey(PlannedFrame, on_delete=models.CASCADE, related_name="meant_for")
    # As HungFor.want.
    want = models.ForeignKey("production.Want", on_delete=models.DO_NOTHING, related_name="planned")
    pairs = models.PositiveSmallIntegerField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["frame", "want"], name="planned_for_want_once"),
            models.CheckConstraint(condition=Q(pairs__gt=0), name="planned_for_positive"),
        ]


class PlanPin(models.Model):
    """What the owner holds fast: this vat in this wax and colour, or a frame of this candle over it, in that half-day.

    `half`: 1 before noon, 2 after.
    """

    vat = models.ForeignKey("production.Vat", on_delete=models.CASCADE, related_name="pins")
    day = models.DateField()
    half = models.PositiveSmallIntegerField(choices=[(1, "morning"), (2, "afternoon")])
    wax = models.ForeignKey("inventory.Wax", on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    colour = models.ForeignKey("inventory.Colour", on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    candle = models.ForeignKey("inventory.Candle", on_delete=models.CASCADE, null=True, blank=True, related_name="+")
    position = models.PositiveSmallIntegerField(null=True, blank=True, validators=[MinValueValidator(1)])
    made_at = models.DateTimeField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["day", "half", "vat", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(wax__isnull=False, colour__isnull=False, candle__isnull=True, position__isnull=True)
                | Q(wax__isnull=True, colour__isnull=True, candle__isnull=False),
                name="plan_pin_is_of_a_vat_or_a_frame",
            ),
            models.CheckConstraint(condition=Q(half__in=(1, 2)), name="plan_pin_half_of_a_day"),
            models.UniqueConstraint(
                fields=["vat", "day", "half"], condition=Q(colour__isnull=False), name="plan_pin_one_bath_a_half"
            ),
        ]
