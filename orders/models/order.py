"""Orders, their lines, and the pairs of lots set aside for them."""

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from inventory.models import FIRSTS, GRADES
from orders.models.price import CARRIAGE_BY, CURRENCIES, FLAT, MOST_DISCOUNT, STERLING

DRAFT, CONFIRMED, DONE, CANCELLED = "draft", "confirmed", "done", "cancelled"
STATUSES = [(status, status) for status in (DRAFT, CONFIRMED, DONE, CANCELLED)]
MOST_PAIRS = 100_000  # on one line; what a small workshop dips in a year, so anything above is a slip of the finger


class Order(models.Model):
    """What a shop wants. An order is for firsts or for seconds, never both.

    currency, discount, minimum_order, the carriage fields and complete_only are the shop's terms as they stood when
    the order was confirmed (a draft follows the shop). `order_discount` is this order's alone: percent off the goods
    as a whole, after the shop's discount; its reason stands on the papers. `version` grows with every change; a form
    made from an older one is refused.
    """

    number = models.PositiveIntegerField(unique=True)
    shop = models.ForeignKey("orders.Shop", on_delete=models.PROTECT, related_name="orders")
    grade = models.CharField(max_length=8, choices=GRADES, default=FIRSTS)
    status = models.CharField(max_length=9, choices=STATUSES, default=DRAFT)
    reference = models.CharField("their reference", max_length=40, blank=True)
    ship_by = models.DateField("ship by", null=True, blank=True)
    deliver_to = models.ForeignKey("orders.Address", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    notes = models.CharField(max_length=500, blank=True)
    currency = models.CharField(max_length=3, choices=CURRENCIES, default=STERLING)
    discount = models.DecimalField(max_digits=5, decimal_places=2, default=0)
    order_discount = models.DecimalField(
        "discount on this order (%)",
        max_digits=4,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(MOST_DISCOUNT)],
    )
    order_discount_reason = models.CharField("what it is for", max_length=80, blank=True)
    minimum_order = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    carriage = models.DecimalField(max_digits=6, decimal_places=2, default=0)
    carriage_by = models.CharField(max_length=6, choices=CARRIAGE_BY, default=FLAT)
    carriage_kilos = models.PositiveSmallIntegerField(default=10)
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
                condition=Q(order_discount__gte=0, order_discount__lte=MOST_DISCOUNT)
                & (Q(order_discount=0) | ~Q(order_discount_reason="")),
                name="order_discount_bounds_and_reason",
                violation_error_message="Say what the discount on this order is for.",
            ),
            models.CheckConstraint(
                condition=Q(currency__in=[code for code, _ in CURRENCIES])
                & Q(carriage_by__in=[by for by, _ in CARRIAGE_BY]),
                name="order_price_terms",
            ),
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
    """Pairs of one candle. `sent` and `set_aside` are counters kept by orders.domain; cover adds up by constraint.

    `price` is what a pair costs, box break taken off, the shop's discount not yet. Where it came from a list,
    `price_list` is that list and `list_price` its price before the break: changed pairs find their break again.
    """

    order = models.ForeignKey(Order, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    candle = models.ForeignKey("inventory.Candle", on_delete=models.PROTECT, related_name="order_lines")
    pairs = models.PositiveIntegerField(validators=[MinValueValidator(1), MaxValueValidator(MOST_PAIRS)])
    sent = models.PositiveIntegerField(default=0, editable=False)
    set_aside = models.PositiveIntegerField(default=0, editable=False)
    price = models.DecimalField("price a pair", max_digits=8, decimal_places=2)
    price_from = models.CharField("where the price came from", max_length=120)
    list_price = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True, editable=False)
    price_list = models.ForeignKey(
        "orders.PriceList", on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="order_lines"
    )
    takes_discount = models.BooleanField("the shop's discount comes off it", default=True, editable=False)
    # Nearly every line is of no box: an index that held them too would be read through whole to find them.
    seconds_box = models.ForeignKey(
        "orders.SecondsBox",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        editable=False,
        db_index=False,
        related_name="lines",
    )
    why = models.CharField("why it got what it got", max_length=200, blank=True)
    # Whoever drops a want writes its line (orders.domain.holding); the database refuses one that is left behind.
    want = models.OneToOneField(
        "production.Want",
        on_delete=models.DO_NOTHING,
        null=True,
        blank=True,
        editable=False,
        related_name="order_line",
    )

    class Meta:
        ordering = ["position", "pk"]
        indexes = [
            models.Index(fields=["seconds_box"], condition=Q(seconds_box__isnull=False), name="line_of_box"),
        ]
        constraints = [
            models.CheckConstraint(condition=Q(pairs__gte=0, pairs__lte=MOST_PAIRS), name="line_pairs_bounds"),
            models.CheckConstraint(condition=Q(price__gte=0), name="line_price_not_negative"),
            models.CheckConstraint(condition=Q(pairs__gte=F("sent") + F("set_aside")), name="line_cover_within_pairs"),
        ]

    def __str__(self):
        return f"{self.pairs} x {self.candle_id}"

    @property
    def discount(self):
        """Percent of the shop's discount that comes off this line: an agreed price is as a rule net already."""
        return self.order.discount if self.takes_discount else Decimal(0)


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
