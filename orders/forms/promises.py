"""Forms of the order's page. `version` is the order's, as it stood when the form was made."""

from django import forms

from orders.models.order import MOST_PAIRS

LONGEST_REASON = 100  # the line's reason and the record both hold it with a few words round it


class VersionForm(forms.Form):
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=2**31 - 1)


def _pairs(least: int = 1) -> forms.IntegerField:
    widget = forms.NumberInput(attrs={"inputmode": "numeric", "autofocus": True})
    return forms.IntegerField(min_value=least, max_value=MOST_PAIRS, widget=widget)


def _reason(required: bool) -> forms.CharField:
    return forms.CharField(max_length=LONGEST_REASON, required=required, label="Why")


class ReleaseForm(VersionForm):
    pairs = _pairs()
    reason = _reason(required=False)


class ReleaseOrderForm(VersionForm):
    reason = _reason(required=False)


class TakeOverForm(VersionForm):
    pairs = _pairs()


class ChangePairsForm(VersionForm):
    pairs = _pairs(least=0)


class CancelForm(VersionForm):
    reason = _reason(required=True)


class OtherColourForm(VersionForm):
    candle = forms.IntegerField(min_value=1)
    pairs = forms.IntegerField(min_value=1, max_value=MOST_PAIRS)


class WayForm(forms.Form):
    way = forms.ChoiceField(choices=[("rule", "the rule's own"), ("most", "most complete orders")])
    facts = forms.CharField(max_length=64, min_length=64)
