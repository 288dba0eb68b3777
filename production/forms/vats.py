"""Forms of the vats and of the check sheet."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator

from inventory.forms.setup import SetUpForm
from inventory.forms.stockroom import OnceForm
from inventory.models import Colour, Wax
from production.check_points import POINTS
from production.domain.vat_set_up import FIELDS, MAY_HOLD
from production.models import Vat

MOST_DIGITS = 18  # of a row's key: a database counts to 2**63
LARGEST_MM = 3000  # no vat of a small workshop is longer, wider or deeper


def celsius_field(**options) -> forms.DecimalField:
    return forms.DecimalField(max_digits=4, decimal_places=1, **options)


def level_field(**options) -> forms.DecimalField:
    return forms.DecimalField(max_digits=6, decimal_places=2, **options)


def note_field(**options) -> forms.CharField:
    return forms.CharField(max_length=120, required=False, **options)


class KeysField(forms.ModelMultipleChoiceField):
    """Rows, each with a box to tick, of which no key is too large for a database."""

    def clean(self, value):
        for key in value or ():
            # Django asks the database for every key that is a number, and there is one too large for any.
            if len(str(key)) > MOST_DIGITS:
                raise ValidationError(self.error_messages["invalid_pk_value"], "invalid_pk_value", {"pk": key})
        return super().clean(value)


class VatsField(KeysField):
    """Vats in use, each with a box to tick; none ticked is an answer, too."""

    def __init__(self, **options):
        super().__init__(Vat.objects.none(), required=False, widget=forms.CheckboxSelectMultiple, **options)


class HeatForm(OnceForm):
    celsius = celsius_field(label="Heat read off it (C)")
    note = note_field()


class LevelForm(OnceForm):
    level_mm = level_field(label="Wax below the rim (mm)")
    note = note_field()


class TopUpForm(OnceForm):
    kilograms = forms.DecimalField(label="Molten wax put in (kg)", max_digits=6, decimal_places=2)
    note = note_field()


class ThermostatForm(forms.Form):
    celsius = celsius_field(label="Thermostat turned to (C)")


class VatForm(SetUpForm):
    """A vat's figures. What is in it changes by a change-over."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=2**31 - 1, required=False)
    seen = None

    class Meta:
        model = Vat
        fields = (*FIELDS, MAY_HOLD)
        widgets = {MAY_HOLD: forms.CheckboxSelectMultiple}
        field_classes = {MAY_HOLD: KeysField}
        help_texts = {
            "depth_mm": "Inside, from the rim to the bottom.",
            "keep_mm": "25 mm leaves room for candles that dip.",
            "set_c": "65 to 85 is usual; a little above where the wax congeals.",
            "cut_out_c": "110 at most, and 80 below the lowest flash point.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.initial["version"] = self.instance.version if self.instance.pk else 0
        for name in ("depth_mm", "length_mm", "width_mm"):
            self.fields[name].validators.append(MaxValueValidator(LARGEST_MM, f"At most {LARGEST_MM:,} mm."))

    def see(self, row):
        self.data = self.data.copy()
        self.data["version"] = row.version

    def clean(self):
        given = super().clean()
        set_c, cut_out = given.get("set_c"), given.get("cut_out_c")
        if set_c is not None and cut_out is not None and cut_out <= set_c:
            self.add_error("cut_out_c", "The cut-out acts above the thermostat.")
        return given


class NewVatForm(VatForm):
    class Meta(VatForm.Meta):
        fields = ("name", "wax", "colour", *FIELDS[1:], MAY_HOLD)


class ChangeOverForm(OnceForm):
    """What goes into the emptied vat."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=2**31 - 1)
    wax = forms.ModelChoiceField(queryset=Wax.objects.filter(heat__isnull=False), empty_label="Choose a wax")
    colour = forms.ModelChoiceField(queryset=Colour.objects.all(), empty_label="Choose a colour")
    set_c = celsius_field(label="Thermostat (C)")
    cut_out_c = celsius_field(label="Independent cut-out (C)")
    level_mm = level_field(label="Filled to, below the rim (mm)")
    note = note_field(help_text="For example: where the old wax went.")

    def __init__(self, *args, vat: Vat, **kwargs):
        initial = {name: getattr(vat, name) for name in ("version", "wax", "set_c", "cut_out_c")}
        super().__init__(*args, initial={**initial, "level_mm": vat.keep_mm}, **kwargs)

    @property
    def values(self) -> dict:
        names = ("wax", "colour", "set_c", "cut_out_c", "level_mm", "note")
        return {name: self.cleaned_data[name] for name in names}


class CheckForm(OnceForm):
    """The check sheet: a tick for each point, heat and level of each vat in use."""

    part = forms.ChoiceField(choices=[(part, part) for part in POINTS], widget=forms.HiddenInput)

    def __init__(self, *args, part: str, vats, **kwargs):
        super().__init__(*args, initial={"part": part}, **kwargs)
        self.vats = list(vats)
        self.fields["points"] = forms.MultipleChoiceField(
            choices=POINTS[part], required=False, widget=forms.CheckboxSelectMultiple, label="In order"
        )
        for vat in self.vats:
            self.fields[self.name_of(vat, "celsius")] = celsius_field(required=False, label=f"{vat}: heat (C)")
            self.fields[self.name_of(vat, "level_mm")] = level_field(
                required=False, label=f"{vat}: below the rim (mm)"
            )
        self.fields["note"] = forms.CharField(
            max_length=400,
            required=False,
            label="What is not in order, and what was done",
            widget=forms.Textarea(attrs={"rows": 3}),
        )

    @staticmethod
    def name_of(vat: Vat, what: str) -> str:
        return f"vat-{vat.pk}-{what}"

    def rows(self):
        """(vat, heat field, level field) for the page."""
        return [(vat, self[self.name_of(vat, "celsius")], self[self.name_of(vat, "level_mm")]) for vat in self.vats]

    def figures(self) -> dict[int, dict[str, Decimal | None]]:
        """What was read, by vat id."""
        return {
            vat.pk: {what: self.cleaned_data[self.name_of(vat, what)] for what in ("celsius", "level_mm")}
            for vat in self.vats
        }
