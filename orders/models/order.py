"""Orders, their lines, and the pairs of lots set aside for them."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from inventory.models import FIRSTS, GRADES

DRAFT, CONFIRMED, DONE, CANCELLED = "draft", "confirmed", "done", "cancelled"
STATUSES = [(status, status) for status in (DRAFT, CONFIRMED, DONE, CANCELLED)]
MOST_PAIRS = 100_000  # on one line; what a small workshop dips in a year, so anything above is a slip of the finger


class Order(models.Model):
    """What a shop wants. An order is for firsts or for seconds, never both.

    discount, carriage, carriage_free_above and complete_only are the shop's terms as they stood when the order was
    confirmed (a draft follows the shop). `version` grows with every change; a form made from an older one is refused.
    """

    number = models.PositiveIntegerField(unique=True)
    shop = models.ForeignKey("orders.Shop", on_delete=models.PROTECT, related_name="orders")
    grade = models.CharField(max_length=8, choices=GRADES, default=FIRSTS)
    status = models.CharField(max_length=9, choices=STATUSES, default=DRAFT)
    reference = models.CharField("their reference", max_length=40, blank=True)
    ship_by = models.DateField("ship by", null=True, blank=True)
    deliver_to = models.ForeignKey("orders.Address", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    notes = models.CharField(max_length=500, blank=True)
    discount = models.DecimalField(max_digits=5, decimal_places=2, default=0)
    carriage = models.DecimalField(max_digits=6, decimal_places=2, default=0)
    carriage_free_above = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    complete_only = models.BooleanField(default=False)
    # Pasted or typed rows not yet understood, kept with the draft so nothing is lost: [{"at": place among the rows,
    # "text": the candle as typed, "pairs": as typed, "line": what was pasted, "why": what is wrong with it}].
    unread = models.JSONField(default=list, blank=True)
    placed_on = models.DateField()
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    confirmed_at = models.DateTimeField(null=True, blank=True)
    submission = models.UUIDField(unique=True, help_text="The same form sent twice makes one order.")
    version = models.PositiveIntegerField(default=1)

    class Meta:
        ordering = ["-number"]
        indexes = [
            models.Index(fields=["status", "ship_by"], name="order_status_ship_by"),
            models.Index(fields=["shop", "-placed_on"], name="order_shop_placed"),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(grade__in=("firsts", "seconds")), name="order_grade_known"),
            models.CheckConstraint(condition=Q(status__in=[s for s, _ in STATUSES]), name="order_status_known"),
            models.CheckConstraint(
                condition=Q(status__in=(DRAFT, CANCELLED)) | Q(ship_by__isnull=False, confirmed_at__isnull=False),
                name="order_confirmed_has_ship_by",
            ),
        ]

    def __str__(self):
        return f"Order {self.number}"

    def get_absolute_url(self):
        return reverse("order_entry" if self.status == DRAFT else "order", args=[self.number])


class OrderLine(models.Model):
    """Pairs of one candle. `sent` and `set_aside` are counters kept by orders.domain; cover adds up by constraint."""

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    candle = models.ForeignKey("inventory.Candle", on_delete=models.PROTECT, related_name="order_lines")
    pairs = models.PositiveIntegerField(validators=[MinValueValidator(1), MaxValueValidator(MOST_PAIRS)])
    sent = models.PositiveIntegerField(default=0, editable=False)
    set_aside = models.PositiveIntegerField(default=0, editable=False)
    price = models.DecimalField("price a pair", max_digits=8, decimal_places=2)
    price_from = models.CharField("where the price came from", max_length=80)
    why = models.CharField("why it got what it got", max_length=200, blank=True)
    want = models.OneToOneField(
        "production.Want", on_delete=models.SET_NULL, null=True, blank=True, editable=False, related_name="order_line"
    )

    class Meta:
        ordering = ["position", "pk"]
        constraints = [
            models.CheckConstraint(condition=Q(pairs__gte=0, pairs__lte=MOST_PAIRS), name="line_pairs_bounds"),
            models.CheckConstraint(condition=Q(price__gte=0), name="line_price_not_negative"),
            models.CheckConstraint(condition=Q(pairs__gte=F("sent") + F("set_aside")), name="line_cover_within_pairs"),
        ]

    def __str__(self):
        return f"{self.pairs} x {self.candle_id}"


class SetAside(models.Model):
    """Pairs of a lot promised to a line. Gone when they are sent, released or taken over."""

    line = models.ForeignKey(OrderLine, on_delete=models.PROTECT, related_name="promises")
    lot = models.ForeignKey("inventory.Lot", on_delete=models.PROTECT, related_name="promises")
    pairs = models.PositiveIntegerField()
    # Of these, pairs already lying in a delivery being packed: they can be neither released nor taken over.
    packed = models.PositiveIntegerField(default=0)
    at = models.DateTimeField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["line", "lot"], name="set_aside_line_lot_once"),
            models.CheckConstraint(condition=Q(pairs__gt=0, packed__lte=F("pairs")), name="set_aside_positive"),
        ]
