"""What candles are made of and packed in: materials, who sells them, lots as they came, and what became of them.

Amounts are whole numbers in the unit of the material's kind: grams of wax and dye, millimetres of wick, pieces of
boxes and labels.
"""

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse

from inventory.material_words import GRAM, MILLIMETRE, PIECE

WAX, WICK, DYE, BOX, LABEL = "wax", "wick", "dye", "box", "label"
MATERIAL_KINDS = [(kind, kind) for kind in (WAX, WICK, DYE, BOX, LABEL)]
UNIT_OF = {WAX: GRAM, DYE: GRAM, WICK: MILLIMETRE, BOX: PIECE, LABEL: PIECE}

ADDING = ("came", "remelted", "put back")
TAKING = ("drawn", "wasted", "sent back")
EITHER = ("recounted",)
MOVEMENT_KINDS = [(kind, kind) for kind in (*ADDING, *TAKING, *EITHER)]


class Supplier(models.Model):
    """Who sells materials. `lead_days`: calendar days from the order to the delivery, as a rule."""

    name = models.CharField(max_length=80, unique=True)
    email = models.EmailField(blank=True)
    telephone = models.CharField(max_length=30, blank=True)
    lead_days = models.PositiveSmallIntegerField(
        "days from order to delivery", default=7, validators=[MaxValueValidator(365)]
    )
    note = models.CharField(max_length=200, blank=True)
    active = models.BooleanField("in use", default=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name


class Material(models.Model):
    """One thing bought. `pack` is what one orders at least, `keep` what should always lie there; both in its unit.

    A material of kind wax with `remelt_of` is our own wax come back: candles and ends of that wax and colour, melted.
    It is never bought, and it is used before anything else in a vat of that wax and colour.
    """

    name = models.CharField(max_length=80, unique=True)
    kind = models.CharField(max_length=5, choices=MATERIAL_KINDS)
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, null=True, blank=True, related_name="materials")
    supplier_code = models.CharField("supplier's code", max_length=40, blank=True)
    pack = models.PositiveIntegerField("smallest order", default=0)
    keep = models.PositiveIntegerField("always keep", default=0)
    remelt_of = models.ForeignKey(
        "inventory.Wax", on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="remelts"
    )
    remelt_colour = models.ForeignKey(
        "inventory.Colour", on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="+"
    )
    active = models.BooleanField("in use", default=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["kind", "name"]
        constraints = [
            models.UniqueConstraint(
                fields=["remelt_of", "remelt_colour"],
                condition=Q(remelt_of__isnull=False),
                name="material_one_remelt_a_wax_and_colour",
            ),
            models.CheckConstraint(
                condition=Q(kind__in=[kind for kind, _ in MATERIAL_KINDS]), name="material_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(remelt_of__isnull=True, remelt_colour__isnull=True)
                | Q(kind=WAX, remelt_of__isnull=False, remelt_colour__isnull=False, supplier__isnull=True),
                name="material_remelt_is_wax_of_our_own",
            ),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("material", args=[self.pk])

    @property
    def unit(self) -> str:
        return UNIT_OF[self.kind]


class BlendPart(models.Model):
    """What a wax is blended of, by weight. A wax without parts is not drawn from any stock; parts make 100 %."""

    wax = models.ForeignKey("inventory.Wax", on_delete=models.CASCADE, related_name="blend")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="blended_in")
    percent = models.DecimalField(
        "share by weight (%)",
        max_digits=5,
        decimal_places=2,
        validators=[MinValueValidator(Decimal("0.01")), MaxValueValidator(100)],
    )

    class Meta:
        ordering = ["-percent", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["wax", "material"], name="blend_part_once"),
            models.CheckConstraint(condition=Q(percent__gt=0, percent__lte=100), name="blend_part_percent"),
        ]


class DyePart(models.Model):
    """Dye in a colour: grams to a kilogram of wax."""

    colour = models.ForeignKey("inventory.Colour", on_delete=models.CASCADE, related_name="dyes")
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="dyed_in")
    grams_a_kilo = models.DecimalField(
        "g to a kg of wax",
        max_digits=6,
        decimal_places=3,
        validators=[MinValueValidator(Decimal("0.001")), MaxValueValidator(100)],
    )

    class Meta:
        ordering = ["pk"]
        constraints = [
            models.UniqueConstraint(fields=["colour", "material"], name="dye_part_once"),
            models.CheckConstraint(condition=Q(grams_a_kilo__gt=0, grams_a_kilo__lte=100), name="dye_part_grams"),
        ]


class MaterialLot(models.Model):
    """One delivery of one material. `on_hand` is the sum of its movements; inventory.domain.materials changes it.

    `price` is what all of it cost, GBP without VAT; our own remelt costs nothing.
    """

    code = models.CharField("our code", max_length=20, unique=True)
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="lots")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, null=True, blank=True, related_name="lots")
    supplier_lot = models.CharField("supplier's lot or batch", max_length=40, blank=True)
    came_on = models.DateField()
    amount = models.PositiveBigIntegerField("as it came")
    on_hand = models.PositiveBigIntegerField(default=0, editable=False)
    price = models.DecimalField(
        "price of all of it (GBP, without VAT)",
        max_digits=10,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(0)],
    )
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["came_on", "pk"]
        indexes = [models.Index(fields=["material", "came_on"], name="material_lot_oldest")]
        constraints = [
            models.CheckConstraint(condition=Q(amount__gt=0), name="material_lot_amount_positive"),
            models.CheckConstraint(condition=Q(price__gte=0), name="material_lot_price_not_negative"),
        ]

    def __str__(self):
        return self.code

    def get_absolute_url(self):
        return reverse("material_lot", args=[self.pk])

    @property
    def price_a_unit(self) -> Decimal:
        """GBP for one gram, millimetre or piece, not rounded."""
        return self.price / self.amount


class MaterialMovement(models.Model):
    """What came into a lot or left it, in the material's unit. Append-only: triggers refuse update and delete."""

    lot = models.ForeignKey(MaterialLot, on_delete=models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=10, choices=MOVEMENT_KINDS)
    amount = models.BigIntegerField(help_text="Above nought into the lot, below nought out of it.")
    reason = models.CharField(max_length=200, blank=True)
    reference = models.CharField(max_length=40, blank=True, help_text="The frame, box or count that caused it.")
    submission = models.UUIDField(null=True, blank=True, unique=True, editable=False)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=(Q(kind__in=ADDING) & Q(amount__gt=0))
                | (Q(kind__in=TAKING) & Q(amount__lt=0))
                | (Q(kind__in=EITHER) & ~Q(amount=0)),
                name="material_movement_sign_fits_kind",
            )
        ]

    def __str__(self):
        return f"{self.lot_id} {self.kind} {self.amount:+d}"


class Purchase(models.Model):
    """Material ordered of a supplier: under way until it came (then `lot` says as what) or was called off."""

    UNDER_WAY, CAME, CALLED_OFF = "under way", "came", "called off"
    STATES = [(state, state) for state in (UNDER_WAY, CAME, CALLED_OFF)]
    material = models.ForeignKey(Material, on_delete=models.PROTECT, related_name="purchases")
    supplier = models.ForeignKey(Supplier, on_delete=models.PROTECT, related_name="purchases")
    amount = models.PositiveBigIntegerField()
    price = models.DecimalField(
        "price agreed (GBP, without VAT)", max_digits=10, decimal_places=2, null=True, blank=True,
        validators=[MinValueValidator(0)],
    )  # fmt: skip
    ordered_on = models.DateField()
    due_on = models.DateField("expected on")
    state = models.CharField(max_length=10, choices=STATES, default=UNDER_WAY)
    lot = models.OneToOneField(
        MaterialLot, on_delete=models.PROTECT, null=True, blank=True, editable=False, related_name="purchase"
    )
    note = models.CharField(max_length=200, blank=True)
    submission = models.UUIDField(unique=True)
    made_by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["due_on", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(amount__gt=0) & Q(due_on__gte=F("ordered_on")),
                name="purchase_amount_and_days",
                violation_error_message="It cannot come before it was ordered.",
            ),
            models.CheckConstraint(
                condition=Q(state="came", lot__isnull=False) | (~Q(state="came") & Q(lot__isnull=True)),
                name="purchase_came_as_a_lot",
            ),
        ]

    def __str__(self):
        return f"{self.material} of {self.supplier}, {self.ordered_on}"
