"""Forms of the complaints log."""

import django_filters
from django import forms
from django.utils import timezone

from inventory.forms.stockroom import DAY, OnceForm, fault_field
from inventory.models import Lot
from orders.domain.complaints import LONGEST
from orders.forms.promises import VersionForm
from orders.models import MOST_PAIRS, Complaint, Shop
from orders.queries.trace_subjects import nearest
from orders.scanned import codes_in


class LotCodeField(forms.CharField):
    """A lot by the code on its box, typed or scanned; the nearest are named where none has it."""

    def clean(self, value):
        text = super().clean(value)
        codes = codes_in(text)
        found = Lot.objects.filter(code__in=[form for code in codes for form in (code, code.upper())]).first()
        if found is None and text:
            alike = [named.code for named in nearest(codes[0] if codes else "") if named.kind == "lot"]
            near = f" Nearest: {', '.join(alike[:3])}." if alike else ""
            raise forms.ValidationError(f"No lot has the code {text}.{near}")
        return found


class ComplaintForm(OnceForm):
    lot = LotCodeField(max_length=80, label="Lot", help_text="The code on the box, typed or scanned.")
    shop = forms.ModelChoiceField(Shop.objects.order_by("name"), empty_label="Choose the shop")
    fault = fault_field(label="What is wrong with them")
    pairs = forms.IntegerField(
        min_value=1, max_value=MOST_PAIRS, widget=forms.TextInput(attrs={"inputmode": "numeric"})
    )
    told_on = forms.DateField(
        label="Told on", initial=timezone.localdate, widget=forms.DateInput(format="%Y-%m-%d", attrs=DAY)
    )
    words = forms.CharField(
        label="What they said", max_length=LONGEST["words"], required=False, widget=forms.Textarea(attrs={"rows": 3})
    )


class FollowForm(VersionForm):
    note = forms.CharField(label="What happened", max_length=LONGEST["note"])


class CloseComplaintForm(VersionForm):
    done = forms.CharField(label="What was done", max_length=LONGEST["done"], widget=forms.Textarea(attrs={"rows": 2}))
    ours = forms.ChoiceField(
        label="Whose fault it was",
        choices=[("yes", "ours: it counts among the faults"), ("no", "no fault of the candles: it counts no more")],
        initial="yes",
    )

    def clean_ours(self):
        return self.cleaned_data["ours"] == "yes"


class ComplaintFilter(django_filters.FilterSet):
    """Open and closed ones, by shop and by words of the fault."""

    STANDS = [("open", "open"), ("closed", "closed")]

    stands = django_filters.ChoiceFilter(choices=STANDS, label="Complaints", empty_label="all", method="standing")
    shop = django_filters.ModelChoiceFilter(
        queryset=Shop.objects.filter(complaints__isnull=False).distinct().order_by("name"), empty_label="any"
    )
    fault = django_filters.CharFilter(lookup_expr="icontains", label="Fault")

    class Meta:
        model = Complaint
        fields = []

    def standing(self, rows, name, value):
        return rows.filter(closed_on__isnull=value == "open")
