"""Forms of payments: how much came, and how much of it goes against which open paper."""

import uuid
from decimal import Decimal

from django import forms
from django.utils import timezone

from inventory.forms.stockroom import OnceForm
from inventory.words import day
from orders.models.payment import HOW
from orders.models.price import CURRENCIES
from orders.money import MOST, in_pounds
from orders.queries.debts import OpenPaper

MONEY = {"max_digits": 10, "decimal_places": 2}


def day_field(label: str, **options) -> forms.DateField:
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(label=label, widget=widget, **options)


class MoneyField(forms.DecimalField):
    """An amount as people type it: with a pound sign or commas between the thousands."""

    def __init__(self, **options):
        super().__init__(**{"max_value": MOST, **MONEY, **options})

    def to_python(self, value):
        if isinstance(value, str):
            value = value.replace(",", "").replace("£", "").replace("€", "").strip()
        return super().to_python(value)


class PartsForm(forms.Form):
    """An amount for each open paper, and a tick where one offers a discount for prompt payment."""

    def __init__(self, *args, papers: list[OpenPaper], **kwargs):
        super().__init__(*args, **kwargs)
        self.papers = papers
        for one in papers:
            label = f"Of it for {one.number}"
            self.fields[f"part_{one.key}"] = MoneyField(label=label, required=False, min_value=Decimal(0))
            if one.prompt:
                by, amount = one.prompt
                label = f"{in_pounds(amount)} settles {one.number} if paid by {day(by)}"
                self.fields[f"prompt_{one.key}"] = forms.BooleanField(label=label, required=False)

    @property
    def parts(self) -> dict[str, Decimal]:
        return {one.key: self.cleaned_data.get(f"part_{one.key}") or Decimal(0) for one in self.papers}

    @property
    def prompt(self) -> list[str]:
        return [one.key for one in self.papers if self.cleaned_data.get(f"prompt_{one.key}")]

    @property
    def prompts(self):
        return [self[name] for name in self.fields if name.startswith("prompt_")]

    def fill(self, parts, prompt=()) -> None:
        """Show these amounts in the fields, whatever was typed there."""
        self.data = self.data.copy()
        amounts = dict(parts)
        for one in self.papers:
            amount = amounts.get(one.key)
            self.data[f"part_{one.key}"] = f"{amount}" if amount else ""
            self.data[f"prompt_{one.key}"] = "on" if one.key in prompt else ""


class PaymentForm(PartsForm, OnceForm):
    amount = MoneyField(label="Amount", min_value=Decimal("0.01"))
    currency = forms.ChoiceField(choices=CURRENCIES)
    on = day_field("Came on", initial=timezone.localdate)
    how = forms.ChoiceField(label="How it came", choices=HOW)
    reference = forms.CharField(label="What the bank or cheque says", max_length=140, required=False)
    submission = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)
    HEAD = ("amount", "currency", "on", "how", "reference")

    @property
    def head(self):
        return [self[name] for name in self.HEAD]


class RefundForm(OnceForm):
    amount = MoneyField(label="Amount", min_value=Decimal("0.01"))
    currency = forms.ChoiceField(choices=CURRENCIES)
    on = day_field("Paid back on", initial=timezone.localdate)
    how = forms.ChoiceField(label="How it went", choices=HOW)
    reason = forms.CharField(label="What for", max_length=200)


class TakeBackForm(forms.Form):
    kind = forms.ChoiceField(
        label="What happened",
        choices=[("bounced", "the bank took it back"), ("mistake", "it was entered by mistake")],
        widget=forms.RadioSelect,
    )
    on = day_field("On", initial=timezone.localdate)
    reason = forms.CharField(label="Why", max_length=200)


class OffForm(forms.Form):
    """Which part of a payment comes off, and why."""

    key = forms.RegexField(r"^[il]\d{1,18}$", widget=forms.HiddenInput)
    reason = forms.CharField(label="Why", max_length=200)


class SendForm(forms.Form):
    """A paper as it was looked at, and where a letter takes it."""

    seen = forms.CharField(widget=forms.HiddenInput, max_length=16)
    currency = forms.ChoiceField(choices=CURRENCIES, widget=forms.HiddenInput)
    to = forms.CharField(
        label="E-mail it to",
        max_length=400,
        required=False,
        help_text="Left empty, the paper is made and no letter sent.",
    )


class LateForm(forms.Form):
    """The owner's tick: nothing is charged without it."""

    seen = forms.CharField(widget=forms.HiddenInput, max_length=16)
    until = forms.DateField(widget=forms.HiddenInput)
    policy = forms.ChoiceField(label="Interest", widget=forms.RadioSelect)
    with_fixed = forms.BooleanField(label="Add the fixed sum", required=False)
    sure = forms.BooleanField(
        label="Charge it",
        error_messages={"required": "Tick this if it is to be charged. Nothing is charged without."},
    )

    def __init__(self, *args, policies, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["policy"].choices = policies


class ReasonForm(forms.Form):
    reason = forms.CharField(label="Why", max_length=200)


class TriesForm(forms.Form):
    """How often a letter had been tried when the page was made."""

    tries = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=32767)
