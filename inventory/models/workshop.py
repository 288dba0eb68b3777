"""The workshop itself: what stands at the head of every paper, and where its stock lies."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from stdnum.gb import vat as gb_vat

ROUNDING = [("half-up", "to the nearest penny, half a penny up"), ("down", "down to the whole penny")]


class Workshop(models.Model):
    """One row, id 1. Papers copy what they need from it when they are issued."""

    name = models.CharField(max_length=80)
    address = models.TextField("address", max_length=300, help_text="As it stands on papers, a line each.")
    town = models.CharField(max_length=60)
    postcode = models.CharField(max_length=12)
    country = models.CharField(max_length=2, default="GB", help_text="Two letters, ISO 3166.")
    telephone = models.CharField(max_length=30, blank=True)
    email = models.EmailField(blank=True)
    returns_address = models.TextField("address for returns", max_length=300, blank=True)
    vat_number = models.CharField("VAT number", max_length=20, blank=True, help_text="Empty: not registered, no VAT.")
    company_number = models.CharField(max_length=20, blank=True)
    vat_rounding = models.CharField("VAT is rounded", max_length=8, choices=ROUNDING, default="half-up")
    bank_name = models.CharField(max_length=60, blank=True)
    account_name = models.CharField(max_length=60, blank=True)
    sort_code = models.CharField(
        max_length=8, blank=True, validators=[RegexValidator(r"^\d\d-\d\d-\d\d$", "Six digits, as 12-34-56.")]
    )
    account_number = models.CharField(
        max_length=8, blank=True, validators=[RegexValidator(r"^\d{8}$", "Eight digits.")]
    )
    seconds_share = models.DecimalField(
        "seconds' price, share of the firsts' price",
        max_digits=3,
        decimal_places=2,
        default=Decimal("0.50"),
        validators=[MinValueValidator(Decimal("0.01")), MaxValueValidator(Decimal("1"))],
    )
    firelighter_price = models.DecimalField(
        "a bag of firelighters (GBP, without VAT)",
        max_digits=8,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.01"))],
        help_text="Wick ends filled into bags. Empty: none are sold to shops.",
    )
    gs1_prefix = models.CharField(
        "GS1 company prefix",
        max_length=12,
        blank=True,
        validators=[RegexValidator(r"^\d{6,12}$", "6 to 12 digits, as GS1 gave them.")],
        help_text="Empty: case labels carry no SSCC.",
    )
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        verbose_name_plural = "workshop"
        constraints = [models.CheckConstraint(condition=models.Q(pk=1), name="workshop_is_one")]

    def __str__(self):
        return self.name

    def clean(self):
        self.vat_number = self.vat_number.replace(" ", "").upper()
        if self.vat_number and not gb_vat.is_valid(self.vat_number):
            raise ValidationError(
                {"vat_number": "This is not a valid UK VAT number (GB and 9 digits, check digits right)."}
            )
        if self.vat_number and not self.vat_number.startswith(("GB", "XI")):
            self.vat_number = "GB" + self.vat_number


class Shelf(models.Model):
    """A place finished pairs lie. The pick list walks the shelves in this order."""

    code = models.CharField(max_length=8, unique=True)
    note = models.CharField(max_length=80, blank=True)
    walk = models.PositiveSmallIntegerField("place in the walk", default=0)
    room_pairs = models.PositiveIntegerField(
        "room (pairs)", null=True, blank=True, help_text="About how many pairs it holds. Empty: not known."
    )

    class Meta:
        verbose_name_plural = "shelves"
        ordering = ["walk", "code"]

    def __str__(self):
        return self.code
