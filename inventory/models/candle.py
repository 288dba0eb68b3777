"""The catalogue: waxes, colours and the candles made of them."""

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse
from stdnum import ean

from inventory.wax import frustum_mass

VAT_CLASSES = [("standard", "standard"), ("reduced", "reduced"), ("zero", "zero"), ("exempt", "exempt")]


class Wax(models.Model):
    """A wax as bought or blended. Densities in g/cm3; the data sheet of the wax goes before this row."""

    name = models.CharField(max_length=40, unique=True)
    density_solid = models.DecimalField("density, solid (g/cm3)", max_digits=4, decimal_places=3)
    density_liquid = models.DecimalField("density, molten (g/cm3)", max_digits=4, decimal_places=3)

    class Meta:
        verbose_name_plural = "waxes"
        ordering = ["name"]
        constraints = [
            # Every wax shrinks as it sets; a molten density at or above the solid one is a misprint.
            models.CheckConstraint(
                condition=Q(density_liquid__gt=0)
                & Q(density_liquid__lt=F("density_solid"))
                & Q(density_solid__lte=Decimal("1.2")),
                name="wax_shrinks_on_setting",
                violation_error_message="A wax is lighter molten than solid: check both densities (g/cm3).",
            )
        ]

    def __str__(self):
        return self.name


class Colour(models.Model):
    code = models.CharField(
        max_length=4, unique=True, validators=[RegexValidator(r"^[A-Z0-9]+$", "Capitals and digits.")]
    )
    name = models.CharField(max_length=40, unique=True)
    hex = models.CharField("shown as", max_length=7, validators=[RegexValidator(r"^#[0-9a-f]{6}$", "As #a1b2c3.")])

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name


class Candle(models.Model):
    """A catalogue item, sold in pairs joined by one wick. The base is the thick end, the tip the thin one."""

    code = models.CharField(
        max_length=12, unique=True, validators=[RegexValidator(r"^[A-Z0-9-]+$", "Capitals, digits and dashes only.")]
    )
    name = models.CharField(max_length=80, unique=True)
    length_mm = models.DecimalField(
        "length (mm)", max_digits=5, decimal_places=1, validators=[MinValueValidator(20), MaxValueValidator(1200)]
    )
    base_mm = models.DecimalField(
        "base diameter (mm)", max_digits=4, decimal_places=1, validators=[MinValueValidator(3), MaxValueValidator(150)]
    )
    tip_mm = models.DecimalField(
        "tip diameter (mm)", max_digits=4, decimal_places=1, validators=[MinValueValidator(1), MaxValueValidator(150)]
    )
    wax = models.ForeignKey(Wax, on_delete=models.PROTECT)
    colour = models.ForeignKey(Colour, on_delete=models.PROTECT)
    wick = models.CharField(max_length=40)
    wick_of = models.ForeignKey(
        "inventory.Material",
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        limit_choices_to={"kind": "wick"},
        related_name="candles",
        verbose_name="wick is drawn from",
        help_text="Empty: threading draws no wick from stock.",
    )
    needs_holder = models.BooleanField(
        "cannot stand by itself", default=True, help_text="Its label then asks for a heat-resistant holder."
    )
    burn_g_hour = models.DecimalField(
        "burns (g an hour)",
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(Decimal("0.5")), MaxValueValidator(100)],
        help_text="Empty: the mean of its test burns; without any, an estimate that says so.",
    )
    pairs_per_box = models.PositiveSmallIntegerField(
        "pairs to a box", validators=[MinValueValidator(1), MaxValueValidator(500)]
    )
    gtin = models.CharField("GTIN", max_length=14, blank=True)
    trade_price = models.DecimalField(
        "trade price a pair (GBP, without VAT)",
        max_digits=8,
        decimal_places=2,
        validators=[MinValueValidator(Decimal("0.01"))],
    )
    vat_class = models.CharField("VAT class", max_length=8, choices=VAT_CLASSES, default="standard")
    shelf = models.ForeignKey("inventory.Shelf", on_delete=models.PROTECT, null=True, blank=True)
    active = models.BooleanField("in the catalogue", default=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(
                fields=["gtin"],
                condition=~Q(gtin=""),
                name="candle_gtin_unique",
                violation_error_message="Another candle has this GTIN.",
            ),
            models.CheckConstraint(
                condition=Q(tip_mm__gt=0) & Q(tip_mm__lte=F("base_mm")) & Q(length_mm__gt=0),
                name="candle_tip_not_above_base",
                violation_error_message="The tip cannot be thicker than the base.",
            ),
            models.CheckConstraint(condition=Q(trade_price__gt=0), name="candle_price_positive"),
            models.CheckConstraint(condition=Q(pairs_per_box__gt=0), name="candle_box_positive"),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("candle", args=[self.pk])

    def clean(self):
        self.code = self.code.strip().upper()
        self.gtin = self.gtin.replace(" ", "")
        if self.gtin and not ean.is_valid(self.gtin):
            raise ValidationError(
                {"gtin": "The check digit does not fit: 8, 12, 13 or 14 digits, the last one computed."}
            )

    @property
    def grams_a_pair(self) -> Decimal:
        """Weight of a pair in g (each candle to 0.01 g), from the frustum and the solid wax's density."""
        return 2 * frustum_mass(self.length_mm, self.base_mm, self.tip_mm, self.wax.density_solid)
