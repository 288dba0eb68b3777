"""Forms of credit notes, returns and export evidence. A row a line, each with fields of its own."""

from decimal import Decimal

from django import forms
from django.utils import timezone

from inventory.forms.stockroom import OnceForm
from orders.domain.credit_draft import Asked, Take
from orders.domain.returns import Back
from orders.forms.payments import MoneyField, day_field
from orders.models import DeliveryLine
from orders.models.credit import WHY
from orders.models.order import MOST_PAIRS
from orders.money import NOUGHT
from orders.queries.credits import InvoiceLeft, LineLeft


def pairs_field(label: str, most: int) -> forms.IntegerField:
    field = forms.IntegerField(label=label, required=False, min_value=0, max_value=MOST_PAIRS)
    field.widget.attrs |= {"max": most, "inputmode": "numeric", "class": "short"}
    return field


class CreditForm(OnceForm):
    """What is taken off an invoice. `seen` is the digest of the figures last shown."""

    why = forms.ChoiceField(label="What it is for", choices=WHY)
    reason = forms.CharField(label="In words, for the paper", max_length=200)
    set_off_on = day_field(
        "Set off or paid back on",
        initial=timezone.localdate,
        help_text="Its VAT belongs to that day, and the credit note is due within 14 days beginning with it.",
    )
    whole = forms.BooleanField(label="All that is left of it, carriage too", required=False)
    anew = forms.BooleanField(
        label="Its deliveries are to be invoiced anew",
        required=False,
        help_text="Only where the invoice was wrong: it is taken back whole.",
    )
    carriage = MoneyField(label="Carriage credited, without VAT", required=False, min_value=NOUGHT)
    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=16)
    HEAD = ("why", "reason", "set_off_on", "whole", "anew", "carriage")

    def __init__(self, *args, left: InvoiceLeft, **kwargs):
        super().__init__(*args, **kwargs)
        self.lines = [one for one in left.lines.values() if one.net > 0 or one.pairs]
        for one in self.lines:
            place = f"line {one.line.position}"
            if one.pairs:
                self.fields[f"pairs_{one.line.pk}"] = pairs_field(f"Pairs credited of {place}", one.pairs)
            if one.net > 0:
                amount = MoneyField(label=f"Amount off {place}", required=False, min_value=NOUGHT)
                amount.widget.attrs["class"] = "short"
                self.fields[f"amount_{one.line.pk}"] = amount
        if not left.carriage:
            del self.fields["carriage"]

    @property
    def head(self):
        return [self[name] for name in self.HEAD if name in self.fields]

    @property
    def asked(self) -> Asked:
        """What the filled-in form asks for."""
        given = self.cleaned_data
        whole = given["whole"] or given["anew"]
        return Asked(
            why=given["why"],
            reason=given["reason"],
            set_off_on=given["set_off_on"],
            takes=None if whole else tuple(self._takes()),
            carriage=given.get("carriage") or NOUGHT,
            anew=given["anew"],
        )

    def _takes(self):
        for one in self.lines:
            pairs = self.cleaned_data.get(f"pairs_{one.line.pk}") or 0
            amount = self.cleaned_data.get(f"amount_{one.line.pk}") or Decimal(0)
            if pairs or amount:
                yield Take(one.line.pk, pairs, amount)

    def cell(self, name: str, one: LineLeft):
        """The field of a line's cell, None where the line has none."""
        key = f"{name}_{one.line.pk}"
        return self[key] if key in self.fields else None


class ReturnForm(OnceForm):
    """What came back of a delivery, by lot. `most` is what can still come back of each line."""

    came_on = day_field("Came back on", initial=timezone.localdate)
    reason = forms.CharField(label="Why, for stock and the credit note", max_length=200)
    carriage = MoneyField(label="Carriage credited, without VAT", required=False, min_value=NOUGHT)
    again = forms.BooleanField(
        label="Send the same pairs again",
        required=False,
        help_text="As a new order at the same price, carriage free.",
    )
    HEAD = ("came_on", "reason", "carriage", "again")

    def __init__(self, *args, lines: list[DeliveryLine], most: dict[int, int], carriage: Decimal, **kwargs):
        super().__init__(*args, **kwargs)
        self.lines = [line for line in lines if most[line.pk]]
        for line in self.lines:
            for name in ("firsts", "seconds", "broken"):
                if name != "firsts" or line.lot.grade == "firsts":
                    self.fields[f"{name}_{line.pk}"] = pairs_field(f"{name} of {line.lot.code}", most[line.pk])
            if line.lot.grade == "firsts":
                self.fields[f"fault_{line.pk}"] = forms.CharField(
                    label=f"what is wrong with the seconds of {line.lot.code}", max_length=40, required=False
                )
        if not carriage:
            del self.fields["carriage"]

    @property
    def head(self):
        return [self[name] for name in self.HEAD if name in self.fields]

    @property
    def backs(self) -> list[Back]:
        given = self.cleaned_data
        return [
            Back(
                line.pk,
                *(given.get(f"{name}_{line.pk}") or 0 for name in ("firsts", "seconds", "broken")),
                given.get(f"fault_{line.pk}", ""),
            )
            for line in self.lines
        ]

    def cell(self, name: str, line: DeliveryLine):
        key = f"{name}_{line.pk}"
        return self[key] if key in self.fields else None


class EvidenceForm(forms.Form):
    received_on = day_field("Received on", initial=timezone.localdate)
    note = forms.CharField(
        label="What it is",
        max_length=200,
        help_text="It has to name seller, customer, goods, value, destination, transport and route.",
    )


class DepositForm(forms.Form):
    """Money that came before the goods leave. `seen` is the digest of the figures last shown."""

    received = MoneyField(label="Received, VAT in it", min_value=Decimal("0.01"))
    received_on = day_field("Came on", initial=timezone.localdate)
    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=16)
