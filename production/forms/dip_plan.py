"""What the owner asks of the dip plan: a search, a pin, a trial."""

from datetime import timedelta

from django import forms
from django.utils import timezone

from inventory.models import Candle, Colour, Wax
from production.forms.vats import VatsField
from production.models import Vat
from production.models.plan import EFFORTS
from production.queries.threading import candles_dipped

HALVES = [(1, "morning"), (2, "afternoon")]
DAY = {"type": "date"}
NUMBER = {"inputmode": "numeric", "autocomplete": "off"}
MOST_LETTERS = 4000
MOST_AHEAD = timedelta(days=366)
EFFORT_WORDS = {"quick": "a quick look", "normal": "as usual", "long": "long and thorough"}


class AskForm(forms.Form):
    effort = forms.ChoiceField(label="How hard to search", initial="normal")
    days = forms.IntegerField(
        label="Working days ahead", min_value=1, max_value=60, required=False, widget=forms.NumberInput(attrs=NUMBER)
    )
    keeps_first_day = forms.BooleanField(required=False, initial=True, label="Leave the first day as it is planned")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["effort"].choices = [(key, EFFORT_WORDS.get(key, key)) for key, _ in EFFORTS]


class _WhenForm(forms.Form):
    """A vat and a half-day."""

    vat = forms.ModelChoiceField(queryset=Vat.objects.none(), empty_label="Choose a vat")
    day = forms.DateField(widget=forms.DateInput(attrs=DAY, format="%Y-%m-%d"))
    half = forms.TypedChoiceField(label="Half-day", choices=HALVES, coerce=int)

    ids = "id_%s"

    def __init__(self, *args, **kwargs):
        # Two of these stand on one page: their fields' ids differ, their names do not.
        super().__init__(*args, **{"auto_id": self.ids, **kwargs})
        self.fields["vat"].queryset = Vat.objects.filter(active=True)

    def clean_day(self):
        day = self.cleaned_data["day"]
        if day > timezone.localdate() + MOST_AHEAD:
            raise forms.ValidationError("A day within a year.")
        return day


class PinVatForm(_WhenForm):
    ids = "vat_%s"
    wax = forms.ModelChoiceField(queryset=Wax.objects.none(), empty_label="Choose a wax")
    colour = forms.ModelChoiceField(queryset=Colour.objects.none(), empty_label="Choose a colour")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["wax"].queryset, self.fields["colour"].queryset = Wax.objects.all(), Colour.objects.all()


class PinFrameForm(_WhenForm):
    candle = forms.ModelChoiceField(queryset=Candle.objects.none(), empty_label="Choose a candle")
    position = forms.IntegerField(
        min_value=1, max_value=12, required=False, widget=forms.NumberInput(attrs=NUMBER), help_text="Empty: any."
    )
    ids = "frame_%s"
    field_order = ("candle", "vat", "day", "half", "position")

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["candle"].queryset = candles_dipped()
        self.fields["candle"].label_from_instance = lambda candle: f"{candle.code}  {candle.name}"


class WhatIfForm(forms.Form):
    """What to try: any of it, or all at once."""

    rows = forms.CharField(
        label="An order more",
        required=False,
        max_length=MOST_LETTERS,
        widget=forms.Textarea(attrs={"rows": 4, "spellcheck": "false"}),
        help_text="A row a line: code and pairs, as IV250 96.",
    )
    due = forms.DateField(
        label="It is to be ready by", required=False, widget=forms.DateInput(attrs=DAY, format="%Y-%m-%d")
    )
    vats_out = VatsField(label="A vat is out of use")
    vats_more = VatsField(label="A vat more, like this one")
    carousels_more = forms.IntegerField(
        label="Carousels more", required=False, min_value=0, max_value=4, widget=forms.NumberInput(attrs=NUMBER),
        help_text="One turns over one vat: more of them help where a vat has none.",
    )  # fmt: skip
    day_worked = forms.DateField(
        label="A day more is worked", required=False, widget=forms.DateInput(attrs=DAY, format="%Y-%m-%d")
    )
    hands = forms.IntegerField(
        label="Pairs of hands more", required=False, min_value=-20, max_value=20,
        widget=forms.NumberInput(attrs=NUMBER), help_text="Fewer: with a minus.",
    )  # fmt: skip

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("vats_out", "vats_more"):
            self.fields[name].queryset = Vat.objects.filter(active=True)

    def clean_rows(self):
        rows, lines = [], [line.split() for line in self.cleaned_data["rows"].splitlines() if line.strip()]
        codes = {words[0].upper() for words in lines}
        known = dict(Candle.objects.filter(code__in=codes).values_list("code", "pk"))
        for words in lines:
            code, pairs = words[0].upper(), words[-1].replace(",", "")
            if len(words) != 2 or not pairs.isdecimal():
                raise forms.ValidationError(f"“{' '.join(words)[:40]}”: a code and whole pairs, as IV250 96.")
            if code not in known:
                raise forms.ValidationError(f"No candle has the code {code[:20]}.")
            rows.append({"candle": known[code], "pairs": int(pairs)})
        return rows

    def clean(self):
        given = super().clean()
        if given.get("rows") and not given.get("due") and "due" not in self.errors:
            self.add_error("due", "Say by when the order is to be ready.")
        if given.get("due") and given["due"] < timezone.localdate():
            self.add_error("due", "That day has gone by.")
        if not self.errors and not self.changes:
            self.add_error(None, "Nothing to try: say what would be different.")
        return given

    @property
    def changes(self) -> dict:
        """As a search keeps it."""
        given = self.cleaned_data
        due = given.get("due")
        order = [{**row, "due": due.isoformat()} for row in given.get("rows") or ()] if due else []
        worked = given.get("day_worked")
        found = {
            "order": order,
            "vats_out": [vat.pk for vat in given.get("vats_out") or ()],
            "vats_more": [vat.pk for vat in given.get("vats_more") or ()],
            "carousels_more": given.get("carousels_more") or 0,
            "days_worked": [worked.isoformat()] if worked else [],
            "hands": given.get("hands") or 0,
        }
        return {name: value for name, value in found.items() if value}
