"""What a pair costs: dated price lists, box breaks, prices agreed with one shop, and what seconds cost.

Which of them applies is said by orders/prices.py. An order that was confirmed keeps what it was confirmed at, so rows
here may be added at any time; what orders were confirmed by is not changed any more (orders/domain/price_lists.py).
"""

from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

# Currencies counted in hundredths: the book's amounts have two decimals. Codes of ISO 4217.
CURRENCIES = [
    ("GBP", "GBP, pounds sterling"),
    ("EUR", "EUR, euro"),
    ("USD", "USD, US dollars"),
    ("CHF", "CHF, Swiss francs"),
    ("SEK", "SEK, Swedish kronor"),
    ("NOK", "NOK, Norwegian kroner"),
    ("DKK", "DKK, Danish kroner"),
]
STERLING = "GBP"
FLAT, BY_WEIGHT, BY_BOX = "flat", "weight", "box"
CARRIAGE_BY = [(FLAT, "an order"), (BY_WEIGHT, "by weight"), (BY_BOX, "a box")]
SHARE, BOX, KILO = "share", "box", "kilo"
SECONDS_BASES = [(SHARE, "% of the firsts' price"), (BOX, "a box"), (KILO, "a kilo")]
MOST_DISCOUNT = Decimal(90)  # percent; above it a price list is mended, not discounted
PENNY = Decimal("0.01")


class ShopGroup(models.Model):
    """Shops that buy from a list of their own: farm shops, churches, galleries."""

    name = models.CharField(max_length=40, unique=True)
    note = models.CharField(max_length=80, blank=True)

    class Meta:
        verbose_name = "shop group"
        ordering = ["name"]

    def __str__(self):
        return self.name


class PriceList(models.Model):
    """Prices a pair without VAT from a day on, for one currency and for one group of shops or (None) for everybody.

    It stands until a later one of the same currency and group begins.
    """

    name = models.CharField(max_length=40)
    currency = models.CharField(max_length=3, choices=CURRENCIES, default=STERLING)
    group = models.ForeignKey(ShopGroup, on_delete=models.PROTECT, null=True, blank=True, related_name="lists")
    since = models.DateField("from", help_text="The first day it is in force.")
    note = models.CharField("note, printed at its foot", max_length=200, blank=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        verbose_name = "price list"
        ordering = ["-since", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["currency", "group", "since"],
                condition=Q(group__isnull=False),
                name="list_one_a_group_and_day",
            ),
            models.UniqueConstraint(
                fields=["currency", "since"], condition=Q(group__isnull=True), name="list_one_for_all_a_day"
            ),
            models.CheckConstraint(condition=Q(currency__in=[code for code, _ in CURRENCIES]), name="list_currency"),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("price_list", args=[self.pk])


class ListPrice(models.Model):
    """A candle's price a pair on a list, in the list's currency."""

    list = models.ForeignKey(PriceList, on_delete=models.CASCADE, related_name="prices")
    candle = models.ForeignKey("inventory.Candle", on_delete=models.PROTECT, related_name="list_prices")
    price = models.DecimalField(max_digits=8, decimal_places=2, validators=[MinValueValidator(PENNY)])

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["list", "candle"], name="list_price_once"),
            models.CheckConstraint(condition=Q(price__gt=0), name="list_price_positive"),
        ]


class BoxBreak(models.Model):
    """Percent off a list's price from so many whole boxes of a candle on; without a candle, of every candle on it."""

    list = models.ForeignKey(PriceList, on_delete=models.CASCADE, related_name="breaks")
    candle = models.ForeignKey(
        "inventory.Candle", on_delete=models.PROTECT, null=True, blank=True, related_name="box_breaks"
    )
    boxes = models.PositiveSmallIntegerField("from boxes", validators=[MinValueValidator(1), MaxValueValidator(1000)])
    percent = models.DecimalField(
        "percent off",
        max_digits=4,
        decimal_places=2,
        validators=[MinValueValidator(PENNY), MaxValueValidator(MOST_DISCOUNT)],
    )

    class Meta:
        ordering = ["candle__code", "boxes"]
        constraints = [
            models.UniqueConstraint(
                fields=["list", "candle", "boxes"], condition=Q(candle__isnull=False), name="break_once_a_candle"
            ),
            models.UniqueConstraint(
                fields=["list", "boxes"], condition=Q(candle__isnull=True), name="break_once_for_all"
            ),
            models.CheckConstraint(
                condition=Q(percent__gt=0, percent__lte=MOST_DISCOUNT, boxes__gt=0), name="break_bounds"
            ),
        ]


class AgreedPrice(models.Model):
    """A price a pair agreed with one shop for one candle, from a day on and, if so agreed, up to and with another."""

    shop = models.ForeignKey("orders.Shop", on_delete=models.CASCADE, related_name="agreed_prices")
    candle = models.ForeignKey("inventory.Candle", on_delete=models.PROTECT, related_name="agreed_prices")
    currency = models.CharField(max_length=3, choices=CURRENCIES, default=STERLING)
    price = models.DecimalField("price a pair", max_digits=8, decimal_places=2, validators=[MinValueValidator(PENNY)])
    since = models.DateField("from")
    until = models.DateField("up to and with", null=True, blank=True)
    takes_discount = models.BooleanField("the shop's discount comes off it too", default=False)

    class Meta:
        verbose_name = "agreed price"
        ordering = ["candle__code", "-since"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "candle", "currency", "since"], name="agreed_once_a_day"),
            models.CheckConstraint(condition=Q(price__gt=0), name="agreed_price_positive"),
            models.CheckConstraint(
                condition=Q(until__isnull=True) | Q(until__gte=F("since")),
                name="agreed_ends_after_it_begins",
                violation_error_message="It ends before it begins.",
            ),
        ]

    def __str__(self):
        return f"{self.candle.code} at {self.price}"


class SecondsPrice(models.Model):
    """What a pair of seconds costs from a day on: percent of the firsts' price, or so much a full box or a kilo."""

    currency = models.CharField(max_length=3, choices=CURRENCIES, default=STERLING)
    basis = models.CharField("reckoned as", max_length=5, choices=SECONDS_BASES, default=SHARE)
    value = models.DecimalField("figure", max_digits=8, decimal_places=2, validators=[MinValueValidator(PENNY)])
    since = models.DateField("from")

    class Meta:
        verbose_name = "seconds' price"
        ordering = ["-since", "currency"]
        constraints = [
            models.UniqueConstraint(
                fields=["currency", "since"],
                name="seconds_price_once_a_day",
                violation_error_message="Seconds have a price from that day already.",
            ),
            models.CheckConstraint(
                condition=Q(value__gt=0) & (~Q(basis=SHARE) | Q(value__lte=100)),
                name="seconds_price_bounds",
                violation_error_message="A share lies above 0 and at most at 100 %.",
            ),
        ]

    def __str__(self):
        return f"{self.value.normalize():f} {self.get_basis_display()}"


class SecondsAge(models.Model):
    """Percent off the price of seconds that were dipped so many days ago or more; the oldest step reached counts."""

    days = models.PositiveSmallIntegerField(
        "from days", unique=True, validators=[MinValueValidator(1), MaxValueValidator(3650)]
    )
    percent = models.DecimalField(
        "percent off",
        max_digits=4,
        decimal_places=2,
        validators=[MinValueValidator(PENNY), MaxValueValidator(MOST_DISCOUNT)],
    )

    class Meta:
        verbose_name = "step of age"
        verbose_name_plural = "steps of age"
        ordering = ["days"]
        constraints = [
            models.CheckConstraint(
                condition=Q(days__gt=0, percent__gt=0, percent__lte=MOST_DISCOUNT), name="seconds_age_bounds"
            ),
        ]

    def __str__(self):
        return f"{self.percent.normalize():f} % off from {self.days} days"
