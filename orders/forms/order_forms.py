"""The forms of order forms: making one, sending it, reading one that came back."""

import uuid

from django import forms

from inventory.sheets.parts import MOST_BYTES
from orders.domain.order_forms import LONGEST_NOTE
from orders.models import Shop


def _day_input() -> forms.DateInput:
    return forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})


class MakeForm(forms.Form):
    """For which days, with what word, and the mark of this submission: sent twice it makes one form."""

    first_day = forms.DateField(label="To leave us from", widget=_day_input())
    last_day = forms.DateField(
        label="Until",
        widget=_day_input(),
        help_text="The shop chooses among the van's days of this stretch. Last year's pairs are those of the same "
        "quarters a year ago.",
    )
    note = forms.CharField(
        label="A word to the shop",
        max_length=LONGEST_NOTE,
        required=False,
        help_text="It stands on the form and in the letter: “Orders by 1 October, please.”",
    )
    submission = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)


class SendForm(forms.Form):
    to = forms.CharField(label="Send it to", max_length=400, help_text="E-mail addresses, with commas between.")
    message = forms.CharField(label="The letter", widget=forms.Textarea(attrs={"rows": 9}))


class BackForm(forms.Form):
    """A file as the shop sent it; the shop only where the form itself does not say."""

    file = forms.FileField(
        label="The form as it came back",
        widget=forms.FileInput(attrs={"accept": ".xlsx,.xlsm,.csv"}),
        allow_empty_file=True,
        max_length=200,
        error_messages={"required": "Choose the file the shop sent."},
    )
    shop = forms.ModelChoiceField(
        Shop.objects.filter(active=True),
        label="Whose order it is",
        required=False,
        empty_label="as the form says",
        help_text="Choose a shop where the form has lost its number.",
    )

    def content(self) -> bytes:
        """The file's bytes, never more than one past what is read."""
        return self.cleaned_data["file"].read(MOST_BYTES + 1)
