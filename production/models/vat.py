"""Vats: heated tanks of wax, what they may be heated to, and what was read off them."""

from decimal import Decimal

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.urls import reverse


class WaxHeat(models.Model):
    """What a wax may be heated to, in degrees C. The wax's data sheet goes before anything here."""

    wax = models.OneToOneField("inventory.Wax", on_delete=models.CASCADE, related_name="heat")
    congeals_c = models.DecimalField("congeals at (C)", max_digits=4, decimal_places=1)
    flash_c = models.DecimalField("lowest flash point (C)", max_digits=4, decimal_places=1)
    discolours_c = models.DecimalField("discolours above (C)", max_digits=4, decimal_places=1, null=True, blank=True)
    in_hand_kg = models.DecimalField(
        "in hand besides what is in the vats (kg)", max_digits=7, decimal_places=1, null=True, blank=True,
        validators=[MinValueValidator(0)], help_text="Empty: not known, and the dip plan takes it as enough.",
    )  # fmt: skip

    # Ranges: TRADE W8, W15, W22, W28; the default figures are those of the worked example P11.
    c_solid = models.DecimalField(
        "specific heat, solid (kJ/kg K)", max_digits=4, decimal_places=3, default=Decimal("2.4"),
        validators=[MinValueValidator(Decimal("0.5")), MaxValueValidator(5)],
    )  # fmt: skip
    latent_kj_kg = models.DecimalField(
        "heat of melting (kJ/kg)", max_digits=4, decimal_places=0, default=200,
        validators=[MinValueValidator(50), MaxValueValidator(400)],
    )  # fmt: skip
    c_liquid = models.DecimalField(
        "specific heat, molten (kJ/kg K)", max_digits=4, decimal_places=3, default=Decimal("2.2"),
        validators=[MinValueValidator(Decimal("0.5")), MaxValueValidator(5)],
    )  # fmt: skip

    class Meta:
        constraints = [
            models.CheckConstraint(
                condition=Q(congeals_c__gt=0) & Q(congeals_c__lt=F("flash_c")),
                name="wax_heat_congeals_below_flash",
                violation_error_message="A wax congeals far below its flash point: check both.",
            ),
            models.CheckConstraint(
                condition=Q(discolours_c__isnull=True)
                | (Q(discolours_c__gt=F("congeals_c")) & Q(discolours_c__lte=F("flash_c"))),
                name="wax_heat_discolours_molten",
                violation_error_message="A wax discolours above what it congeals at, and below its flash point.",
            ),
        ]

    def __str__(self):
        return f"{self.wax}: congeals {self.congeals_c}, flash {self.flash_c} C"


class Vat(models.Model):
    """One tank. It holds one wax and colour at a time; inside measures in mm, wax in kg, heat in degrees C.

    `level_mm` is how far the wax stands below the rim, as last read or reckoned; only
    production.domain.vats changes it.
    """

    name = models.CharField(max_length=40, unique=True)
    wax = models.ForeignKey("inventory.Wax", on_delete=models.PROTECT, related_name="vats")
    colour = models.ForeignKey("inventory.Colour", on_delete=models.PROTECT, related_name="vats")
    depth_mm = models.PositiveSmallIntegerField("depth (mm)", validators=[MinValueValidator(50)])
    length_mm = models.PositiveSmallIntegerField("inside length (mm)", validators=[MinValueValidator(50)])
    width_mm = models.PositiveSmallIntegerField("inside width (mm)", validators=[MinValueValidator(50)])
    keep_mm = models.PositiveSmallIntegerField("fullest level, below the rim (mm)", default=25)
    set_c = models.DecimalField(
        "thermostat (C)", max_digits=4, decimal_places=1, validators=[MinValueValidator(40), MaxValueValidator(89)]
    )
    cut_out_c = models.DecimalField(
        "independent cut-out (C)",
        max_digits=4,
        decimal_places=1,
        default=Decimal("110"),
        validators=[MaxValueValidator(110)],
    )
    level_mm = models.DecimalField(max_digits=6, decimal_places=2, default=25, editable=False)
    may_hold = models.ManyToManyField(
        "inventory.Wax", blank=True, related_name="+", verbose_name="waxes it may hold", help_text="None: any."
    )
    active = models.BooleanField("in use", default=True)
    version = models.PositiveIntegerField(default=1, editable=False)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(set_c__gte=40, set_c__lt=90) & Q(set_c__lt=F("cut_out_c")) & Q(cut_out_c__lte=110),
                name="vat_set_below_cut_out",
                violation_error_message="The thermostat stands below the cut-out, and the cut-out at 110 C at most.",
            ),
            models.CheckConstraint(
                # A reckoned level may lie below the bottom: then a top-up was forgotten, and turns go on counting.
                condition=Q(keep_mm__lt=F("depth_mm")) & Q(level_mm__gte=0),
                name="vat_level_within_depth",
                violation_error_message="The fullest level lies above the bottom of the vat.",
            ),
            models.CheckConstraint(
                condition=Q(depth_mm__gte=50, length_mm__gte=50, width_mm__gte=50), name="vat_holds_something"
            ),
        ]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("vat", args=[self.pk])


class VatReading(models.Model):
    """Heat, level, top-up or a change of wax and colour, read or done at a vat. Append-only.

    The same `tap` sent again is one reading.
    """

    KINDS = [(kind, kind) for kind in ("heat", "level", "top-up", "change-over", "morning", "evening")]
    vat = models.ForeignKey(Vat, on_delete=models.PROTECT, related_name="readings")
    kind = models.CharField(max_length=12, choices=KINDS)
    celsius = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    level_mm = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    kilograms = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    tap = models.UUIDField(null=True, blank=True, editable=False)

    class Meta:
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["vat", "-at"], name="vat_reading_vat_at")]
        constraints = [
            models.UniqueConstraint(fields=["tap"], condition=Q(tap__isnull=False), name="vat_reading_tap_once")
        ]


class FloorCheck(models.Model):
    """A check sheet gone through, morning or evening: what was not in order, and what was done. Append-only."""

    MORNING, EVENING = "morning", "evening"
    PARTS = [(MORNING, "start of day"), (EVENING, "end of day")]
    day = models.DateField()
    part = models.CharField(max_length=7, choices=PARTS)
    # One point a line, in the words the sheet had that day; empty where all was in order.
    not_in_order = models.TextField(blank=True)
    note = models.CharField(max_length=400, blank=True)
    person = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField()
    tap = models.UUIDField(unique=True, editable=False)

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                condition=Q(not_in_order="") | ~Q(note=""),
                name="floor_check_says_what_was_done",
                violation_error_message="Say what is not in order, and what was done about it.",
            )
        ]

    def __str__(self):
        return f"{self.get_part_display()} check of {self.day}"
