"""What is typed or scanned to trace it."""

from django import forms

from orders.scanned import LONGEST


class TraceForm(forms.Form):
    """Asked by GET, so that the address keeps the code."""

    q = forms.CharField(
        label="Code",
        max_length=LONGEST,
        help_text="Of a lot, a box or its slip, a frame, a dip run, a delivery note, or a lot of wax, wick or dye, "
        "ours or the supplier's. A scanned case label does as well.",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autofocus": True, "spellcheck": "false"}),
    )
