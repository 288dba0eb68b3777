"""The candle form and the catalogue's filter."""

import django_filters
from django import forms
from stdnum import ean

from inventory.domain.catalogue import FIELDS
from inventory.forms.stockroom import SearchFilter
from inventory.models import Candle, Colour, Wax


class CandleForm(forms.ModelForm):
    """A candle's fields. The version is the one the form was made from; the domain compares it."""

    # Longer than 14, so that one typed with blanks fits.
    gtin = forms.CharField(
        label="GTIN",
        required=False,
        max_length=20,
        help_text="8, 12, 13 or 14 digits. Leave it empty where the candle has none.",
    )
    version = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0, max_value=2**31 - 1)

    class Meta:
        model = Candle
        fields = FIELDS
        help_texts = {
            "code": "What is typed at order entry, as IV250.",
            "tip_mm": "As thick as the base for a straight candle.",
            "shelf": "Where new lots of it are put.",
        }
        error_messages = {
            "code": {"unique": "Another candle has this code."},
            "name": {"unique": "Another candle has this name."},
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["wick_of"].empty_label = "none"
        self.fields["version"].initial = self.instance.version if self.instance.pk else 0

    def clean_code(self):
        return self.cleaned_data["code"].strip().upper()

    def clean_gtin(self):
        """The model refuses a wrong check digit as well; here the digit that would fit is named."""
        gtin = ean.compact(self.cleaned_data["gtin"])
        if gtin and not (gtin.isascii() and gtin.isdecimal()):
            raise forms.ValidationError("Digits only.")
        if gtin and len(gtin) not in (8, 12, 13, 14):
            raise forms.ValidationError(f"A GTIN has 8, 12, 13 or 14 digits, not {len(gtin)}.")
        if gtin and not ean.is_valid(gtin):
            digit = ean.calc_check_digit(gtin[:-1])
            raise forms.ValidationError(
                f"The check digit does not fit: {gtin[:-1]} would end in {digit}, not {gtin[-1]}. "
                "One of the digits is mistyped."
            )
        other = gtin and Candle.objects.filter(gtin=gtin).exclude(pk=self.instance.pk).first()
        if other:
            raise forms.ValidationError(f"In use: it is the GTIN of {other.code}, {other.name}.")
        return gtin

    def clean(self):
        values = super().clean()
        base, tip = values.get("base_mm"), values.get("tip_mm")
        if base and tip and tip > base:
            self.add_error("tip_mm", f"The tip cannot be thicker than the base ({base} mm).")
        return values


class CandleFilter(SearchFilter):
    wax = django_filters.ModelChoiceFilter(queryset=Wax.objects.all(), empty_label="any")
    colour = django_filters.ModelChoiceFilter(queryset=Colour.objects.all(), empty_label="any")
    active = django_filters.ChoiceFilter(
        choices=[("yes", "in it"), ("no", "no longer in it")],
        label="Catalogue",
        empty_label="all ever",
        method="in_catalogue",
    )

    class Meta:
        model = Candle
        fields = []

    def in_catalogue(self, candles, name, answer):
        return candles.filter(active=answer == "yes")
