"""What hangs now, a row a position: which frame, its dips, its gauge, whether it is done."""

import uuid
from decimal import Decimal

from django import forms

from production.domain.set_right import Seen
from production.domain.steps import MOST_DIPS
from production.forms.floor import DECIMAL, NUMBER, frame_in_words
from production.models import DipRun


class SetRightForm(forms.Form):
    tap = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    run = forms.ModelChoiceField(queryset=DipRun.objects.all(), widget=forms.HiddenInput)
    turns = forms.IntegerField(
        label="Turns of the run", min_value=0, max_value=30_000, required=False, widget=forms.NumberInput(attrs=NUMBER)
    )
    reason = forms.CharField(
        max_length=200, label="Why the book differs", help_text="For example: dipped without the tablet since noon."
    )

    def __init__(self, *args, frames, carousel, **kwargs):
        super().__init__(*args, **kwargs)
        self.frames = {str(frame.pk): frame for frame in frames}
        choices = [("", "nothing"), *((key, frame_in_words(frame)) for key, frame in self.frames.items())]
        self.positions = list(range(1, carousel.positions + 1))
        for place in self.positions:
            self.fields[f"frame_{place}"] = forms.ChoiceField(choices=choices, required=False, label="hangs")
            self.fields[f"dips_{place}"] = forms.IntegerField(
                label="dips",
                min_value=0,
                max_value=MOST_DIPS,
                required=False,
                widget=forms.NumberInput(attrs=NUMBER),
            )
            self.fields[f"mm_{place}"] = forms.DecimalField(
                label="gauge (mm)",
                max_digits=5,
                decimal_places=2,
                min_value=Decimal("0.1"),
                required=False,
                widget=forms.NumberInput(attrs={**DECIMAL, "step": "any"}),
            )
            self.fields[f"done_{place}"] = forms.BooleanField(required=False, label="done")

    @property
    def rows(self):
        """(position, its fields) for the page."""
        return [
            (place, [self[f"{name}_{place}"] for name in ("frame", "dips", "mm", "done")]) for place in self.positions
        ]

    @property
    def ends(self):
        return [self["turns"], self["reason"]]

    def seen(self) -> list[Seen]:
        given = self.cleaned_data
        return [
            Seen(
                place,
                self.frames[given[f"frame_{place}"]],
                given[f"dips_{place}"],
                given[f"mm_{place}"],
                given[f"done_{place}"],
            )
            for place in self.positions
            if given.get(f"frame_{place}")
        ]
