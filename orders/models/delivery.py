"""What leaves: van days, kinds of box, deliveries and what lies in each box."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

PACKING, PACKED, LEFT, UNPACKED = "packing", "packed", "left", "unpacked"
STATES = [(PACKING, "being packed"), (PACKED, "packed"), (LEFT, "left"), (UNPACKED, "unpacked")]
WEEKDAYS = list(enumerate(("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")))


class VanDay(models.Model):
    """A weekday on which the van goes out."""

    weekday = models.PositiveSmallIntegerField(unique=True, choices=WEEKDAYS, validators=[MaxValueValidator(6)])
    note = models.CharField(max_length=60, blank=True)

    class Meta:
        ordering = ["weekday"]
        constraints = [models.CheckConstraint(condition=Q(weekday__lte=6), name="van_day_in_week")]

    def __str__(self):
        return self.get_weekday_display()


class BoxKind(models.Model):
    """A box as bought. Sizes inside, in mm; weights in g. A candle's "pairs to a box" means the standard box."""

    name = models.CharField(max_length=40, unique=True)
    length_mm = models.PositiveSmallIntegerField("inside length (mm)", validators=[MinValueValidator(20)])
    width_mm = models.PositiveSmallIntegerField("inside width (mm)", validators=[MinValueValidator(20)])
    height_mm = models.PositiveSmallIntegerField("inside height (mm)", validators=[MinValueValidator(20)])
    tare_g = models.PositiveIntegerField("empty weight (g)", default=0)
    limit_g = models.PositiveIntegerField(
        "weight limit with box (g)",
        validators=[MinValueValidator(500), MaxValueValidator(25_000)],
        help_text="Keep within what one person may lift; 25 kg is the most this book takes.",
    )
    standard = models.BooleanField("the standard box", default=False)
    material = models.ForeignKey(
        "inventory.Material", on_delete=models.PROTECT, null=True, blank=True, limit_choices_to={"kind": "box"},
        related_name="box_kinds", verbose_name="box is drawn from", help_text="Empty: packing draws none from stock.",
    )  # fmt: skip
    label = models.ForeignKey(
        "inventory.Material", on_delete=models.PROTECT, null=True, blank=True, limit_choices_to={"kind": "label"},
        related_name="labelled_kinds", verbose_name="label is drawn from", help_text="One to a box.",
    )  # fmt: skip
    active = models.BooleanField("in use", default=True)

    class Meta:
        ordering = ["length_mm", "name"]
        constraints = [
            models.UniqueConstraint(fields=["standard"], condition=Q(standard=True), name="box_kind_one_standard"),
        ]

    def __str__(self):
        return self.name


class Delivery(models.Model):
    """Pairs of one order that leave together. Its number and note come when the boxes are closed."""

    order = models.ForeignKey("orders.Order", on_delete=models.PROTECT, related_name="deliveries")
    state = models.CharField(max_length=8, choices=STATES, default=PACKING)
    van_day = models.DateField()
    note = models.OneToOneField(
        "orders.Paper", on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="delivery"
    )
    started_at = models.DateTimeField()
    started_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    closed_at = models.DateTimeField(null=True, blank=True)
    left_on = models.DateField("left on", null=True, blank=True, help_text="The basic tax point: the day of removal.")
    version = models.PositiveIntegerField(default=1)

    class Meta:
        verbose_name_plural = "deliveries"
        ordering = ["van_day", "pk"]
        constraints = [
            # A second packer on the same order is stopped here, not by hope.
            models.UniqueConstraint(fields=["order"], condition=Q(state=PACKING), name="delivery_one_being_packed"),
            models.CheckConstraint(
                condition=~Q(state__in=(PACKED, LEFT)) | Q(note__isnull=False), name="delivery_packed_has_note"
            ),
            models.CheckConstraint(condition=~Q(state=LEFT) | Q(left_on__isnull=False), name="delivery_left_has_day"),
        ]

    def __str__(self):
        return self.note.number if self.note_id else f"packing of order {self.order.number}"

    def get_absolute_url(self):
        return reverse("delivery", args=[self.pk])


class DeliveryLine(models.Model):
    """Pairs of one order line from one lot. `movement` is the stock that left, once the van has."""

    delivery = models.ForeignKey(Delivery, on_delete=models.CASCADE, related_name="lines")
    line = models.ForeignKey("orders.OrderLine", on_delete=models.PROTECT, related_name="delivery_lines")
    lot = models.ForeignKey("inventory.Lot", on_delete=models.PROTECT, related_name="delivery_lines")
    pairs = models.PositiveIntegerField()
    movement = models.OneToOneField(
        "inventory.Movement",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        editable=False,
        related_name="delivery_line",
    )

    class Meta:
        ordering = ["line__position", "lot__made_on", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["delivery", "line", "lot"], name="delivery_line_lot_once"),
            models.CheckConstraint(condition=Q(pairs__gt=0), name="delivery_line_positive"),
        ]


class Box(models.Model):
    delivery = models.ForeignKey(Delivery, on_delete=models.CASCADE, related_name="boxes")
    number = models.PositiveSmallIntegerField()
    kind = models.ForeignKey(BoxKind, on_delete=models.PROTECT)
    seconds_box = models.OneToOneField(
        "orders.SecondsBox", on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="packed_as"
    )
    slip = models.OneToOneField(
        "orders.Paper", on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="box"
    )

    class Meta:
        verbose_name_plural = "boxes"
        ordering = ["number"]
        constraints = [models.UniqueConstraint(fields=["delivery", "number"], name="box_number_once")]


class BoxContent(models.Model):
    box = models.ForeignKey(Box, on_delete=models.CASCADE, related_name="contents")
    delivery_line = models.ForeignKey(DeliveryLine, on_delete=models.CASCADE, related_name="in_boxes")
    pairs = models.PositiveIntegerField()

    class Meta:
        ordering = ["delivery_line__line__position", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["box", "delivery_line"], name="box_content_once"),
            models.CheckConstraint(condition=Q(pairs__gt=0), name="box_content_positive"),
        ]
