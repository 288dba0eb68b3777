"""Which days of the books, and closing them."""

from django import forms
from django.utils import timezone

from inventory.forms.days import check_years
from orders.periods import Period, month_of

DAY = {"widget": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}
MOST_DAYS = 3 * 366


class PeriodForm(forms.Form):
    """The days a page of the books shows; nothing chosen: this month."""

    first = forms.DateField(label="From", required=False, **DAY)
    last = forms.DateField(label="To", required=False, **DAY)

    def __init__(self, data=None):
        month = month_of(timezone.localdate())
        given = data.copy() if data else {}
        for name in ("first", "last"):
            if not given.get(name):
                given[name] = getattr(month, name).isoformat()
        super().__init__(given)

    def clean(self):
        given = super().clean()
        first, last = given.get("first"), given.get("last")
        check_years(self, "first", "last")
        if first and last and last < first:
            self.add_error("last", "The period ends before it begins.")
        elif first and last and (last - first).days > MOST_DAYS:
            self.add_error("last", "At most three years at a time.")
        return given

    @property
    def period(self) -> Period:
        """The days asked for; this month where they make no period."""
        if self.is_valid():
            return Period(self.cleaned_data["first"], self.cleaned_data["last"])
        return month_of(timezone.localdate())


class CloseForm(forms.Form):
    until = forms.DateField(label="Close the books up to and including", **DAY)


class OpenForm(forms.Form):
    until = forms.DateField(label="Stay closed until (empty: open altogether)", required=False, **DAY)
    reason = forms.CharField(label="Why", max_length=200)
