"""Seconds made up into boxes: pairs of several lots under one code, sold whole at one price."""

from decimal import Decimal

from django.conf import settings
from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse

BY_COUNT, BY_WEIGHT = "count", "weight"
ON_SHELF, SOLD, OPENED = "on the shelf", "sold", "opened"


class SecondsBox(models.Model):
    """A box of seconds. While it stands on the shelf its pairs are counted in their lots' `set_aside`: nobody can
    have them one by one. Sold, they are promised to the lines of `order`; opened, they are free again, and the
    contents stay as what once lay in it.

    `weight_g` is what the scales said, without the box; `price` is GBP for all of it where the owner set one, else
    the rule for seconds says it (orders.seconds_prices). In a draft it is off the shelf already, but its pairs are
    promised to lines only once the order is confirmed.
    """

    code = models.CharField("code on the box", max_length=20, unique=True)
    sold_by = models.CharField(max_length=6, choices=[(BY_COUNT, "by count"), (BY_WEIGHT, "by weight")])
    kind = models.ForeignKey(
        "orders.BoxKind", on_delete=models.PROTECT, related_name="seconds_boxes", verbose_name="kind of box"
    )
    weight_g = models.PositiveIntegerField("weight of the candles (g)", validators=[MinValueValidator(1)])
    price = models.DecimalField(
        "price of the box (GBP, without VAT)",
        max_digits=8,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.01"))],
    )
    state = models.CharField(
        max_length=12, choices=[(state, state) for state in (ON_SHELF, SOLD, OPENED)], default=ON_SHELF
    )
    order = models.ForeignKey(
        "orders.Order", on_delete=models.PROTECT, null=True, blank=True, related_name="seconds_boxes"
    )
    made_up_on = models.DateField()
    made_up_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    submission = models.UUIDField(unique=True)
    version = models.PositiveIntegerField(default=1)

    class Meta:
        verbose_name_plural = "seconds boxes"
        ordering = ["made_up_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(state="sold", order__isnull=False) | (~Q(state="sold") & Q(order__isnull=True)),
                name="seconds_box_sold_to_an_order",
            ),
            models.CheckConstraint(condition=Q(weight_g__gt=0), name="seconds_box_weighs_something"),
            models.CheckConstraint(condition=Q(price__isnull=True) | Q(price__gt=0), name="seconds_box_price"),
        ]

    def __str__(self):
        return self.code

    def get_absolute_url(self):
        return reverse("seconds_box", args=[self.pk])


class SecondsBoxContent(models.Model):
    box = models.ForeignKey(SecondsBox, on_delete=models.CASCADE, related_name="contents")
    lot = models.ForeignKey("inventory.Lot", on_delete=models.PROTECT, related_name="in_seconds_boxes")
    pairs = models.PositiveIntegerField()

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["box", "lot"], name="seconds_box_lot_once"),
            models.CheckConstraint(condition=Q(pairs__gt=0), name="seconds_box_content_positive"),
        ]
