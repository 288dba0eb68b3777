"""Forms of the set-up. Each carries what it has seen of its row, so that a second person's save is noticed."""

from decimal import Decimal

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator, RegexValidator
from django.db import models
from django.db.backends.base.operations import BaseDatabaseOperations

from inventory.domain.versions import fingerprint
from inventory.models import Colour, Shelf, Wax, Workshop

UNDYED = "#f0e3c4"  # where the choice of a colour begins
BANK = ("bank_name", "account_name", "sort_code", "account_number")


class SetUpForm(forms.ModelForm):
    """A row of one of the lists."""

    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=32)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.initial["seen"] = fingerprint(self.instance, self.value_fields)
        for name, field in self.fields.items():
            _bound_to_column(self._meta.model, name, field)

    @property
    def value_fields(self) -> tuple[str, ...]:
        return tuple(self._meta.fields)

    @property
    def values(self) -> dict:
        """What was typed, by model field."""
        return {name: self.cleaned_data[name] for name in self.value_fields}

    def see(self, row) -> None:
        """From now on this form stands against `row` as it is: the page shows that beside what was typed."""
        self.data = self.data.copy()
        self.data[self.add_prefix("seen")] = fingerprint(row, self.value_fields)

    def refuse(self, error: ValidationError) -> None:
        """Put the domain's refusal at its fields; what belongs to none of them stands at the head."""
        if not hasattr(error, "error_dict"):
            self.add_error(None, error)
            return
        for name, errors in error.error_dict.items():
            self.add_error(name if name in self.fields and name != NON_FIELD_ERRORS else None, errors)


def _bound_to_column(model, name: str, field: forms.Field) -> None:
    """SQLite takes any integer, PostgreSQL only what fits: the form refuses for both."""
    column = next((known for known in model._meta.fields if known.name == name), None)
    if isinstance(column, models.IntegerField) and isinstance(field, forms.IntegerField):
        low, high = BaseDatabaseOperations.integer_field_ranges[column.get_internal_type()]
        field.validators += [MinValueValidator(low), MaxValueValidator(high)]


class WorkshopForm(SetUpForm):
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    seen = None

    class Meta:
        model = Workshop
        fields = (
            "name",
            "address",
            "town",
            "postcode",
            "country",
            "telephone",
            "email",
            "returns_address",
            "company_number",
            "vat_number",
            "vat_rounding",
            *BANK,
            "seconds_share",
            "firelighter_price",
            "gs1_prefix",
        )
        labels = {"email": "E-mail"}
        help_texts = {
            "sort_code": "As 12-34-56.",
            "returns_address": "Empty: returns go to the address above.",
            "seconds_share": "0.50 sells a second at half the price of a first.",
            "vat_rounding": "Each rate's VAT on an invoice; papers already issued stay as they are.",
        }
        widgets = {"address": forms.Textarea(attrs={"rows": 3}), "returns_address": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.initial["version"] = self.instance.version if self.instance.pk else 0
        self.fields["country"].validators.append(RegexValidator(r"^[A-Z]{2}\Z", "Two capital letters, as GB."))

    def see(self, row):
        self.data = self.data.copy()
        self.data["version"] = row.version

    def clean(self):
        given = super().clean()
        filled = [name for name in BANK if given.get(name)]
        for name in BANK if filled else ():
            # A field refused already has its own reason.
            if name not in filled and name not in self.errors:
                self.add_error(name, "Bank details are all four or none.")
        return given

    def groups(self):
        """The fields as the page shows them: (heading, bound fields)."""
        headings = (
            ("At the head of every paper", self.value_fields[:9]),
            ("VAT", ("vat_number", "vat_rounding")),
            ("Bank, as it stands on invoices", BANK),
            ("Prices", ("seconds_share", "firelighter_price")),
            ("Labels", ("gs1_prefix",)),
        )
        return [(heading, [self[name] for name in names]) for heading, names in headings]


class ShelfForm(SetUpForm):
    class Meta:
        model = Shelf
        fields = ("code", "walk", "note")
        help_texts = {"walk": "The pick list goes from the lowest to the highest."}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if not self.instance.pk:
            last = Shelf.objects.aggregate(last=models.Max("walk"))["last"]
            self.initial["walk"] = 1 if last is None else last + 1


class WaxForm(SetUpForm):
    class Meta:
        model = Wax
        fields = ("name", "density_solid", "density_liquid")
        help_texts = {"density_solid": "At room temperature.", "density_liquid": "At dipping temperature."}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        # Waxes and stearins lie between 0.85 and 0.98 solid (facts W1, W9, W19); outside 0.8 to 1.2 it is a slip.
        self.fields["density_solid"].validators += [
            MinValueValidator(Decimal("0.8"), "A wax weighs at least 0.8 g/cm3."),
            MaxValueValidator(Decimal("1.2"), "A wax weighs at most 1.2 g/cm3."),
        ]
        self.fields["density_liquid"].validators.append(
            MinValueValidator(Decimal("0.6"), "A molten wax weighs at least 0.6 g/cm3.")
        )


class ColourForm(SetUpForm):
    class Meta:
        model = Colour
        fields = ("code", "name", "hex")
        widgets = {"hex": forms.ColorInput}
        help_texts = {
            "code": "Up to four capitals or digits, as at the head of a candle's code.",
            "hex": "How the pair is drawn, on screen and on paper.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if not self.instance.pk:
            self.initial.setdefault("hex", UNDYED)
