"""One form books wick ends, whichever way they go."""

import uuid

from django import forms

from production.domain.wick_ends import ASKS, LONGEST_NOTE, MOST_BAGS, MOST_GRAMS
from production.models import WickEnds


class WickEndsForm(forms.Form):
    submission = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    kind = forms.ChoiceField(label="What happened", choices=WickEnds.KINDS)
    grams = forms.IntegerField(
        min_value=1,
        max_value=MOST_GRAMS,
        required=False,
        label="Grams",
        help_text="Weighed in, filled into bags, or remelted.",
    )
    bags = forms.IntegerField(
        min_value=1, max_value=MOST_BAGS, required=False, label="Bags", help_text="Filled, or sold."
    )
    note = forms.CharField(
        max_length=LONGEST_NOTE, required=False, help_text="For example: sold at the market, 2.00 a bag."
    )

    def clean(self):
        cleaned = super().clean()
        for name in ASKS.get(cleaned.get("kind"), ()):
            if cleaned.get(name) is None and name not in self.errors:
                self.add_error(name, f"How many {name}?")
        return cleaned
