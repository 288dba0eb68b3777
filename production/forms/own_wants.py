"""What the owner wants made ahead for the shelf."""

from django import forms

from inventory.forms.stockroom import DAY, CandleChoice
from inventory.models import Candle
from production.domain.own_wants import LONGEST_NOTE, MOST_PAIRS


class OwnWantForm(forms.Form):
    """Change one: everything but the candle."""

    pairs = forms.IntegerField(label="Pairs of firsts", min_value=1, max_value=MOST_PAIRS)
    wanted_by = forms.DateField(label="Wanted by", widget=forms.DateInput(format="%Y-%m-%d", attrs=DAY))
    note = forms.CharField(
        label="What for", required=False, max_length=LONGEST_NOTE, help_text="For example: the Easter market."
    )


class NewOwnWantForm(OwnWantForm):
    candle = CandleChoice(queryset=Candle.objects.filter(active=True), empty_label="Choose a candle")
    field_order = ("candle", "pairs", "wanted_by", "note")
