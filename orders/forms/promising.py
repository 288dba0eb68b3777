"""Promising a day, and acknowledging the order."""

from django import forms

from orders.forms.promises import VersionForm


class PromiseForm(VersionForm):
    day = forms.DateField(
        label="We promise it by",
        widget=forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"}),
        help_text="It becomes the order's ship-by date, which the dip list and the plan go by.",
    )


class AcknowledgeForm(forms.Form):
    to = forms.CharField(
        label="Send it to",
        max_length=400,
        required=False,
        help_text="E-mail addresses, with commas between. Leave it empty to have the paper only.",
    )
