"""Forms of the sheets that are brought in."""

from collections.abc import Sequence

from django import forms

from inventory.domain.sheets import Kind
from inventory.sheets.columns import Column, Match
from inventory.sheets.parts import MOST_BYTES
from orders.domain.sheets import KINDS

LEFT_OUT = "-"


class SheetForm(forms.Form):
    kind = forms.ChoiceField(label="What is in it", choices=[(kind.key, kind.title) for kind in KINDS.values()])
    file = forms.FileField(
        label="The sheet (CSV or XLSX)",
        widget=forms.FileInput(attrs={"accept": ".csv,.txt,.tsv,.xlsx,.xlsm"}),
        allow_empty_file=True,
        max_length=200,
        help_text="At most 10 MB and 50,000 rows; the headings in any order and spelling.",
    )

    @property
    def chosen(self) -> Kind:
        return KINDS[self.cleaned_data["kind"]]

    def content(self) -> bytes:
        """The file's bytes, never more than one past what is read."""
        return self.cleaned_data["file"].read(MOST_BYTES + 1)


class HeadingsForm(forms.Form):
    """What each heading of a sheet means: one choice a heading, by its place in the sheet."""

    def __init__(self, *args, matches: Sequence[Match], columns: Sequence[Column], letters: Sequence[str], **kwargs):
        super().__init__(*args, **kwargs)
        self.matches = matches
        choices = [("", "choose"), (LEFT_OUT, "leave it out"), *((one.name, one.label) for one in columns)]
        for match, letter in zip(matches, letters, strict=True):
            known = match.column or (LEFT_OUT if match.sure else "")
            self.fields[f"h{match.at}"] = forms.ChoiceField(
                label=f"{letter}: {match.heading}",
                choices=choices,
                initial=known,
                help_text="" if match.sure else "Not known yet.",
                error_messages={"required": "Say what it is, or leave it out."},
            )

    def clean(self):
        given, seen = super().clean(), {}
        for match in self.matches:
            column = given.get(f"h{match.at}")
            if column and column != LEFT_OUT and column in seen:
                self.add_error(f"h{match.at}", f"“{seen[column]}” is taken for it already: leave one of them out.")
            seen.setdefault(column, match.heading)
        return given

    @property
    def meant(self) -> dict[str, str]:
        """Heading to the column's name, "" for left out."""
        given = {match.heading: self.cleaned_data[f"h{match.at}"] for match in self.matches}
        return {heading: "" if column == LEFT_OUT else column for heading, column in given.items()}
