"""Forms of a stock count."""

from django import forms
from django.utils import timezone

from inventory.domain.lots import MOST_PAIRS
from inventory.models import Lot, Shelf

MOMENT = "%Y-%m-%dT%H:%M"


class StartForm(forms.Form):
    shelf = forms.ModelChoiceField(
        queryset=Shelf.objects.all(), required=False, label="Shelf to count", empty_label="the whole stockroom"
    )


class VersionForm(forms.Form):
    """A button that must mean what its reader saw."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=2**31 - 1)


class CountForm(VersionForm):
    """One big form: a field a row of the sheet, named row_<id>, and room for one lot that was not on it."""

    counted_at = forms.DateTimeField(
        label="Counted at",
        input_formats=[MOMENT, "%Y-%m-%dT%H:%M:%S"],
        widget=forms.DateTimeInput(format=MOMENT, attrs={"type": "datetime-local"}),
        help_text="When the shelves were walked. Differences are against the book at that moment.",
    )
    found_lot = forms.CharField(max_length=20, required=False, label="Found, but not on the sheet: code on the box")
    found_pairs = forms.IntegerField(
        min_value=0,
        max_value=MOST_PAIRS,
        required=False,
        label="Pairs of that whole lot",
    )

    def __init__(self, *args, count, rows, **kwargs):
        moment = timezone.localtime(count.counted_at or timezone.now())
        initial = {"version": count.version, "counted_at": moment.replace(tzinfo=None, second=0, microsecond=0)}
        super().__init__(*args, initial=initial, **kwargs)
        self.count, self.rows = count, list(rows)
        for row in self.rows:
            self.fields[self.name_of(row)] = forms.IntegerField(
                min_value=0,
                max_value=MOST_PAIRS,
                required=False,
                initial=row.counted,
                label=f"Pairs of {row.lot.code} counted",
                widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "counted"}),
            )

    @staticmethod
    def name_of(row) -> str:
        return f"row_{row.pk}"

    def bound_rows(self):
        """(row, its field) in the order of the walk, for the table; the first empty one takes the focus."""
        pairs = [(row, self[self.name_of(row)]) for row in self.rows]
        empty = next((field for row, field in pairs if field.value() in (None, "")), None)
        if empty is not None and not self.is_bound:
            empty.field.widget.attrs["autofocus"] = True
        return pairs

    def clean_counted_at(self):
        """A minute is all the field holds: a sheet typed in within its first minute was counted at its making."""
        moment = self.cleaned_data["counted_at"]
        started = self.count.started_at
        return started if moment == started.replace(second=0, microsecond=0) else moment

    def clean(self):
        values = super().clean()
        code, pairs = values.get("found_lot", "").strip(), values.get("found_pairs")
        if code and pairs is None and "found_pairs" not in self.errors:
            self.add_error("found_pairs", "How many pairs of it?")
        if pairs is not None and not code:
            self.add_error("found_lot", "Which lot? Its code is printed on the box.")
        if code:
            values["found_lot"] = Lot.objects.filter(code__iexact=code).first()
            if values["found_lot"] is None:
                self.add_error("found_lot", f"There is no lot {code}. Count it in as a new one.")
        return values

    def counted(self) -> dict[int, int | None]:
        """What was typed, by row id."""
        return {row.pk: self.cleaned_data[self.name_of(row)] for row in self.rows}

    def found(self) -> list[tuple[Lot, int]]:
        lot = self.cleaned_data.get("found_lot")
        return [(lot, self.cleaned_data["found_pairs"])] if lot else []
