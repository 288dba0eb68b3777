"""Which days the wax balance is asked for."""

from datetime import timedelta

from django import forms
from django.utils import timezone

from inventory.forms.days import check_years
from inventory.forms.stockroom import DAY
from production.queries.wax_balance import Span

USUAL, LONGEST = timedelta(weeks=4), timedelta(days=366)


def usual_span() -> Span:
    """Four weeks up to today."""
    today = timezone.localdate()
    return Span(today - USUAL + timedelta(days=1), today)


class SpanForm(forms.Form):
    first = forms.DateField(label="From", widget=forms.DateInput(format="%Y-%m-%d", attrs=DAY))
    last = forms.DateField(label="To", widget=forms.DateInput(format="%Y-%m-%d", attrs=DAY))

    def clean(self):
        given = super().clean()
        first, last = given.get("first"), given.get("last")
        if first and last and not timedelta(0) <= last - first < LONGEST:
            self.add_error("last", "It ends before it begins." if last < first else "A year at most.")
        check_years(self, "first", "last")
        return given

    @property
    def span(self) -> Span:
        """What was asked for; the usual one where nothing was, or nothing that can be."""
        if self.is_bound and self.is_valid():
            return Span(self.cleaned_data["first"], self.cleaned_data["last"])
        return usual_span()
