"""The season: its days, what is tried, and what was ordered before the book."""

import uuid

from django import forms

from inventory.models import Candle
from orders.domain.season import FIELDS, Before
from orders.models import SeasonFigures, Shop
from orders.season.before_rows import read_rows
from production.domain.dip_plan.what_if import MOST_MORE
from production.forms.setup import FiguresForm
from production.forms.vats import VatsField
from production.models import Vat

NUMBER = {"inputmode": "numeric", "autocomplete": "off"}
MONTHS = [
    (month, name)
    for month, name in enumerate(
        ("January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November",
         "December"), start=1,
    )
]  # fmt: skip
MOST_LETTERS = 2_000_000
FAULTS_SHOWN = 50


class SeasonFiguresForm(FiguresForm):
    first_month = forms.TypedChoiceField(label="Sending for Christmas begins with", choices=MONTHS, coerce=int)

    class Meta:
        model = SeasonFigures
        fields = FIELDS
        widgets = {"last_van": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}


class TryForm(forms.Form):
    """What would be different, for the floor's weeks."""

    vats_more = VatsField(label="A vat more, like this one")
    carousels_more = forms.IntegerField(
        label="Carousels more",
        required=False,
        min_value=0,
        max_value=MOST_MORE,
        widget=forms.NumberInput(attrs=NUMBER),
    )
    hands = forms.IntegerField(
        label="Pairs of hands more", required=False, min_value=-20, max_value=20,
        widget=forms.NumberInput(attrs=NUMBER), help_text="Fewer: with a minus.",
    )  # fmt: skip
    saturdays = forms.BooleanField(label="Saturdays are worked", required=False)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["vats_more"].queryset = Vat.objects.filter(active=True)

    def changes(self, saturdays: list[str]) -> dict:
        """As a trial has them; {} for none. `saturdays`: those nobody works now."""
        given = self.cleaned_data
        found = {
            "vats_more": [vat.pk for vat in given["vats_more"]],
            "carousels_more": given["carousels_more"] or 0,
            "hands": given["hands"] or 0,
            "days_worked": saturdays if given["saturdays"] else [],
        }
        return {name: value for name, value in found.items() if value}


class BeforeForm(forms.Form):
    submission = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    rows = forms.CharField(
        label="Rows",
        max_length=MOST_LETTERS,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 10, "spellcheck": "false"}),
        help_text="A row a line, as copied from a spreadsheet: day, shop, candle’s code, pairs, and the day it was to "
        "be sent if you know it. 2025-11-03, Ossel Gifts, IV250, 48",
    )

    def clean_rows(self) -> list[Before]:
        """The rows with their shops and candles; every fault is told."""
        shops, candles = Shop.objects.in_bulk(), Candle.objects.in_bulk()
        rows, faults = read_rows(
            self.cleaned_data["rows"],
            {shop.name: pk for pk, shop in shops.items()},
            {candle.code: pk for pk, candle in candles.items()},
        )
        if faults:
            more = [f"And {len(faults) - FAULTS_SHOWN:,} more."] if len(faults) > FAULTS_SHOWN else []
            raise forms.ValidationError(faults[:FAULTS_SHOWN] + more)
        return [Before(shops[row.shop], candles[row.candle], row.placed_on, row.ship_by, row.pairs) for row in rows]


class TakeOutForm(forms.Form):
    submission = forms.UUIDField()


class SeenForm(forms.Form):
    seen = forms.CharField(max_length=32)
