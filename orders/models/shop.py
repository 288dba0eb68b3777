"""The shops: who they are, where it goes, on what terms."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.urls import reverse
from stdnum.exceptions import ValidationError as StdnumError
from stdnum.util import get_cc_module

from orders.models.price import BY_WEIGHT, CARRIAGE_BY, CURRENCIES, FLAT, STERLING

OTHER_COLOUR = [("no", "no"), ("ask", "ask first"), ("yes", "yes")]
PENCE = Decimal("0.01")


class Shop(models.Model):
    name = models.CharField(max_length=80, unique=True)
    town = models.CharField(max_length=60)
    rank = models.PositiveSmallIntegerField(
        default=5,
        validators=[MinValueValidator(1), MaxValueValidator(9)],
        help_text="1 is served first when stock is short, 9 last.",
    )
    discount = models.DecimalField(
        "discount (%)",
        max_digits=5,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(90)],
    )
    group = models.ForeignKey(
        "orders.ShopGroup",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="shops",
        verbose_name="shop group",
        help_text="A group can have a price list of its own.",
    )
    currency = models.CharField(
        max_length=3,
        choices=CURRENCIES,
        default=STERLING,
        help_text="Of its prices, carriage, minimum and invoices. Drafts follow; confirmed orders keep theirs.",
    )
    minimum_order = models.DecimalField(
        "smallest order, goods of",
        max_digits=8,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
        help_text="Below it the book warns; it refuses nothing.",
    )
    terms_days = models.PositiveSmallIntegerField("days to pay", default=30, validators=[MaxValueValidator(180)])
    prompt_percent = models.DecimalField(
        "discount for prompt payment (%)",
        max_digits=4,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(20)],
        help_text="Stated on invoices; no credit note follows when it is taken.",
    )
    prompt_days = models.PositiveSmallIntegerField(
        "if paid within (days)", default=7, validators=[MinValueValidator(1), MaxValueValidator(90)]
    )
    pro_forma_first = models.BooleanField("pays before we send", default=False)
    carriage = models.DecimalField(max_digits=6, decimal_places=2, default=0, validators=[MinValueValidator(0)])
    carriage_by = models.CharField("carriage is charged", max_length=6, choices=CARRIAGE_BY, default=FLAT)
    carriage_kilos = models.PositiveSmallIntegerField(
        "by weight: for each started (kg)",
        default=10,
        validators=[MinValueValidator(1), MaxValueValidator(1000)],
    )
    carriage_free_above = models.DecimalField(
        "carriage free from goods of",
        max_digits=8,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0)],
    )
    complete_only = models.BooleanField("takes complete deliveries only", default=False)
    reference_required = models.BooleanField("needs its own order reference", default=False)
    other_colour = models.CharField("another colour when short", max_length=3, choices=OTHER_COLOUR, default="ask")
    vat_number = models.CharField(
        "VAT number", max_length=20, blank=True, help_text="With its country, as GB123456789."
    )
    credit_limit = models.DecimalField(
        "credit limit (GBP)", max_digits=9, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )
    on_stop = models.BooleanField("on stop: take orders, send nothing", default=False)
    stop_reason = models.CharField("why", max_length=120, blank=True)
    wants_seconds_list = models.BooleanField("wants the seconds list", default=False)
    packer_notes = models.CharField("notes for the packer", max_length=300, blank=True)
    active = models.BooleanField(default=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(condition=Q(rank__gte=1, rank__lte=9), name="shop_rank_1_to_9"),
            models.CheckConstraint(condition=Q(discount__gte=0, discount__lte=90), name="shop_discount_bounds"),
            models.CheckConstraint(
                condition=Q(prompt_percent__gte=0, prompt_percent__lte=20, prompt_days__gte=1),
                name="shop_prompt_payment_bounds",
            ),
            models.CheckConstraint(
                condition=Q(currency__in=[code for code, _ in CURRENCIES])
                & Q(carriage_by__in=[by for by, _ in CARRIAGE_BY])
                & (~Q(carriage_by=BY_WEIGHT) | Q(carriage_kilos__gt=0)),
                name="shop_price_terms",
            ),
            models.CheckConstraint(
                condition=Q(on_stop=False) | ~Q(stop_reason=""),
                name="shop_stop_has_reason",
                violation_error_message="Say why the shop is on stop.",
            ),
        ]

    def __str__(self):
        return f"{self.name}, {self.town}"

    def get_absolute_url(self):
        return reverse("shop", args=[self.pk])

    def clean(self):
        self.vat_number = "".join(self.vat_number.split()).upper()
        if self.vat_number:
            self.vat_number = checked_vat_number(self.vat_number)


def checked_vat_number(number: str) -> str:
    """The number with its country prefix, checked by that country's rule; ValidationError for the field otherwise."""
    wrong = ValidationError({"vat_number": "Not a valid VAT number: two letters for the country, then the number."})
    module = get_cc_module("gb" if number[:2] == "XI" else number[:2].lower(), "vat") if number[:2].isalpha() else None
    if module is None:
        raise wrong
    try:
        module.validate("GB" + number[2:] if number[:2] == "XI" else number)
    except StdnumError:
        raise wrong from None
    return number


class Address(models.Model):
    """Where parcels or invoices of a shop go. One of each kind is the usual one."""

    KINDS = [("delivery", "delivery"), ("invoice", "invoice")]
    shop = models.ForeignKey(Shop, on_delete=models.CASCADE, related_name="addresses")
    kind = models.CharField(max_length=8, choices=KINDS, default="delivery")
    label = models.CharField(max_length=40, help_text="As the shop calls it: Shop, Warehouse, Accounts.")
    lines = models.TextField("address", max_length=300)
    town = models.CharField(max_length=60)
    postcode = models.CharField(max_length=12)
    country = models.CharField(max_length=2, default="GB")
    usual = models.BooleanField("the usual one", default=False)

    class Meta:
        verbose_name_plural = "addresses"
        ordering = ["kind", "-usual", "label"]
        constraints = [
            models.UniqueConstraint(fields=["shop", "kind"], condition=Q(usual=True), name="address_one_usual_a_kind"),
        ]

    def __str__(self):
        return f"{self.label}, {self.lines.splitlines()[0] if self.lines else self.town}"

    @property
    def as_lines(self) -> list[str]:
        place = [*self.lines.splitlines(), self.town, self.postcode, "" if self.country == "GB" else self.country]
        return [line.strip() for line in place if line.strip()]


class Contact(models.Model):
    shop = models.ForeignKey(Shop, on_delete=models.CASCADE, related_name="contacts")
    name = models.CharField(max_length=80)
    does = models.CharField("looks after", max_length=40, blank=True)
    email = models.EmailField(blank=True)
    telephone = models.CharField(max_length=30, blank=True)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name
