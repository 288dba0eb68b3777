"""Forms of the floor page. Each tap carries an id of its own, so that one sent twice counts once."""

import uuid
from decimal import Decimal

from django import forms

from inventory.models import Candle
from production.domain.frames import MOST_PAIRS
from production.domain.runs import LEAST_MINUTES, MOST_MINUTES
from production.models import DipRun, Frame, FrameKind, Step, Vat
from production.models.run import BY_CLOCK, BY_TAP

NUMBER = {"inputmode": "numeric"}
DECIMAL = {"inputmode": "decimal"}


class TapForm(forms.Form):
    """What every tap sends: its id, and the run the page showed. A run closed since refuses it."""

    tap = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    run = forms.ModelChoiceField(queryset=DipRun.objects.all(), widget=forms.HiddenInput, required=False)


class MinutesField(forms.DecimalField):
    def __init__(self, **options):
        values = {"min_value": LEAST_MINUTES, "max_value": MOST_MINUTES, "max_digits": 4, "decimal_places": 1}
        widget = forms.NumberInput(attrs={**DECIMAL, "step": "any"})
        super().__init__(label="Minutes a turn", widget=widget, **{**values, **options})


def counting_field() -> forms.ChoiceField:
    choices = [(BY_TAP, "by one tap when a turn is done"), (BY_CLOCK, "by the clock, in working hours")]
    return forms.ChoiceField(label="Turns are counted", choices=choices, widget=forms.RadioSelect, initial=BY_TAP)


class BeginForm(forms.Form):
    tap = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    vat = forms.ModelChoiceField(queryset=Vat.objects.none(), label="Over vat", empty_label="Choose a vat")
    turn_minutes = MinutesField(initial=Decimal(4))
    counting = counting_field()

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["vat"].queryset = Vat.objects.filter(active=True).select_related("wax", "colour")
        self.fields["vat"].label_from_instance = vat_in_words


def vat_in_words(vat: Vat) -> str:
    return f"{vat}: {vat.wax} in {vat.colour.name.lower()}, {vat.depth_mm} mm deep"


class MoveForm(TapForm):
    vat = forms.ModelChoiceField(queryset=Vat.objects.none(), label="Over vat", empty_label="Choose a vat")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["vat"].queryset = Vat.objects.filter(active=True).select_related("wax", "colour")
        self.fields["vat"].label_from_instance = vat_in_words


class PaceForm(TapForm):
    turn_minutes = MinutesField()
    counting = counting_field()


class UndoForm(forms.Form):
    step = forms.ModelChoiceField(queryset=Step.objects.all(), widget=forms.HiddenInput)


class ReadingForm(TapForm):
    mm = forms.DecimalField(
        label="Base diameter (mm)",
        max_digits=5,
        decimal_places=2,
        widget=forms.NumberInput(attrs={**DECIMAL, "step": "any"}),
        error_messages={"invalid": "A number of mm, as 15.7."},
    )
    replaces_last = forms.BooleanField(required=False, label="The last reading was wrong: this one replaces it")


class TakeOffForm(TapForm):
    finished = forms.ChoiceField(choices=[("yes", "yes"), ("no", "no")], widget=forms.HiddenInput)


class DoneForm(TapForm):
    done = forms.ChoiceField(choices=[("yes", "yes"), ("no", "no")], widget=forms.HiddenInput)


class HangForm(TapForm):
    frame = forms.ModelChoiceField(
        queryset=Frame.objects.none(), empty_label="Choose a frame", error_messages={"required": "Choose a frame."}
    )
    position = forms.TypedChoiceField(coerce=int)

    def __init__(self, *args, frames, positions, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["frame"].queryset = frames
        self.fields["frame"].label_from_instance = frame_in_words
        self.fields["position"].choices = [(place, place) for place in positions]


def frame_in_words(frame: Frame) -> str:
    half = f", {frame.dips} dips on" if frame.dips else ""
    return f"{frame}: {frame.hung} pairs of {frame.candle}{half}"


class ChooseCandleForm(forms.Form):
    """What a frame is threaded for: the candle and the frame it goes on."""

    candle = forms.ModelChoiceField(queryset=Candle.objects.none(), empty_label="Choose a candle")
    kind = forms.ModelChoiceField(queryset=FrameKind.objects.none(), label="On a frame", empty_label=None)

    def __init__(self, *args, candles, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["candle"].queryset = candles
        self.fields["candle"].label_from_instance = lambda candle: f"{candle.code}  {candle.name}"
        self.fields["kind"].queryset = FrameKind.objects.filter(active=True)


class ThreadForm(forms.Form):
    """Pairs threaded, and of them the firsts for each want; what is left is for the shelf."""

    hung = forms.IntegerField(
        label="Pairs threaded", min_value=1, max_value=MOST_PAIRS, widget=forms.NumberInput(attrs=NUMBER)
    )

    def __init__(self, *args, wants=(), **kwargs):
        super().__init__(*args, **kwargs)
        self.wants = list(wants)
        for want in self.wants:
            self.fields[f"want_{want.pk}"] = forms.IntegerField(
                label=f"For {want.for_whom}, by {want.wanted_by.day} {want.wanted_by:%b}",
                help_text=f"waits for {want.lacking}",
                min_value=0,
                max_value=MOST_PAIRS,
                required=False,
                widget=forms.NumberInput(attrs=NUMBER),
            )

    @property
    def promised(self) -> dict[int, int]:
        """By want: pairs of firsts."""
        return {want.pk: self.cleaned_data.get(f"want_{want.pk}") or 0 for want in self.wants}


class ScrapForm(forms.Form):
    reason = forms.CharField(max_length=200, label="Why", error_messages={"required": "Say why."})
