"""Forms that change a confirmed order: its header, and one candle more."""

from django import forms
from django.core.exceptions import ValidationError

from inventory.queries.catalogue import find_candles, nearest_candles
from orders.forms.entry import HeaderForm
from orders.models.order import MOST_PAIRS


class ChangeHeaderForm(HeaderForm):
    """As on entry; what may stand is the domain's to say, because a date already past may stay."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=2**31 - 1)
    # What an order pays was settled when it was taken.
    order_discount = order_discount_reason = None

    def __init__(self, *args, order, **kwargs):
        super().__init__(*args, order=order, **kwargs)
        self.initial["version"] = order.version
        self.fields["ship_by"].required = self.fields["deliver_to"].required = True
        self.fields["notes"].widget = forms.Textarea(attrs={"rows": 3})

    def clean_ship_by(self):
        return self.cleaned_data["ship_by"]


class AddLineForm(forms.Form):
    """A candle by its code or a part of its name, and pairs."""

    candle = forms.CharField(max_length=80, label="Candle", help_text="Its code, or enough of its name.")
    pairs = forms.IntegerField(min_value=1, max_value=MOST_PAIRS, widget=forms.NumberInput({"inputmode": "numeric"}))
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=2**31 - 1)

    def clean_candle(self):
        text = self.cleaned_data["candle"]
        found = find_candles(text)
        if len(found) == 1 or (found and found[0].code.casefold() == text.casefold()):
            return found[0]
        near = ", ".join(f"{candle.code} {candle.name}" for candle in found or nearest_candles(text))
        how = "fits more than one candle" if found else "fits no candle; the nearest are"
        raise ValidationError(f"“{text}” {how}: {near}.")
