"""Choosing deliveries for an invoice, and narrowing the ledger."""

import django_filters
from django import forms
from django.forms.widgets import DateInput

from orders.models import Invoice, Shop

DIGITS = 18  # a key of the book has fewer


class DeliveriesField(forms.TypedMultipleChoiceField):
    """Any whole numbers: whether each can be invoiced is the domain's to say, and it says why not."""

    def valid_value(self, value):
        return value.isdecimal() and len(value) <= DIGITS


class ChooseForm(forms.Form):
    """Deliveries of one shop that wait for an invoice. `seen` is the digest of the figures last shown."""

    delivery = DeliveriesField(
        label="Deliveries",
        coerce=int,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Choose at least one delivery.", "invalid_choice": "Choose from the list."},
    )
    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=16)

    def __init__(self, *args, waiting, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["delivery"].choices = waiting


class LedgerFilter(django_filters.FilterSet):
    shop = django_filters.ModelChoiceFilter(queryset=Shop.objects.all(), label="Shop", empty_label="every shop")
    since = django_filters.DateFilter(
        "paper__issued_on", "gte", label="Issued from", widget=DateInput(attrs={"type": "date"})
    )
    until = django_filters.DateFilter("paper__issued_on", "lte", label="to", widget=DateInput(attrs={"type": "date"}))

    class Meta:
        model = Invoice
        fields: list[str] = []
