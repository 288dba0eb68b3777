"""One form weighs remelt in, in kilograms as the scales say it."""

from decimal import Decimal

from django import forms

from inventory.forms.stockroom import OnceForm
from inventory.models import Colour, Wax
from production.domain.remelting import LONGEST_NOTE, MOST_GRAMS

MOST_KG = Decimal(MOST_GRAMS) / 1000


class RemeltForm(OnceForm):
    wax = forms.ModelChoiceField(queryset=Wax.objects.all(), empty_label="Choose a wax")
    colour = forms.ModelChoiceField(queryset=Colour.objects.all(), empty_label="Choose a colour")
    kilograms = forms.DecimalField(
        label="Weighed in (kg)", min_value=Decimal("0.001"), max_value=MOST_KG, decimal_places=3,
        help_text="Melted, strained and weighed.",
    )  # fmt: skip
    left = forms.DecimalField(
        label="Still lying for remelt of it (kg)", min_value=0, max_value=MOST_KG, decimal_places=3, required=False,
        help_text="0 where the tub is empty now. Leave it empty where nobody looked.",
    )  # fmt: skip
    note = forms.CharField(
        max_length=LONGEST_NOTE, required=False, help_text="For example: strained twice, still a little grey."
    )

    def given(self) -> dict:
        """The cleaned values as weigh_in_remelt takes them: whole grams."""
        values = dict(self.cleaned_data)
        kilograms, left = values.pop("kilograms"), values.pop("left")
        return {**values, "grams": int(kilograms * 1000), "left": None if left is None else int(left * 1000)}
