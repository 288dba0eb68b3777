"""Forms of the sheets that are brought in."""

from collections.abc import Sequence

from django import forms

from inventory.domain.sheets import Kind
from inventory.sheets import Sheet, column_letter
from inventory.sheets.columns import Column, Match
from inventory.sheets.parts import MOST_BYTES
from inventory.sheets.values import key
from orders.domain.sheets import KINDS

LEFT_OUT = "-"
LOOKED_AT, SHOWN = 200, 3  # rows looked at, cells shown


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


def stands_beneath(sheet: Sheet, at: int) -> str:
    """ "Beneath it: Ossel Gifts, Hob Lane Deli"; the first different cells of a column."""
    cells = dict.fromkeys(cell[:24] for row in sheet.rows[:LOOKED_AT] if (cell := row.cell(at)))
    return f"Beneath it: {', '.join(list(cells)[:SHOWN])}" if cells else "Nothing stands beneath it."


class HeadingsForm(forms.Form):
    """What each heading of a sheet means: one choice a heading, by its place in the sheet."""

    def __init__(self, *args, matches: Sequence[Match], columns: Sequence[Column], sheet: Sheet, **kwargs):
        super().__init__(*args, **kwargs)
        self.matches = matches
        choices = [("", "choose"), (LEFT_OUT, "leave it out"), *((one.name, one.label) for one in columns)]
        for match in matches:
            known = match.column or (LEFT_OUT if match.sure else "")
            self.fields[f"h{match.at}"] = forms.ChoiceField(
                label=f"{column_letter(match.at)}: {match.heading}",
                choices=choices,
                initial=known,
                help_text=("" if match.sure else "Not known yet. ") + stands_beneath(sheet, match.at),
                error_messages={"required": "Say what it is, or leave it out."},
            )

    def clean(self):
        given, seen, said = super().clean(), {}, {}
        for match in self.matches:
            column = given.get(f"h{match.at}")
            if column and said.setdefault(key(match.heading), column) != column:
                self.add_error(f"h{match.at}", "Another column has the same heading: rename one of them in the sheet.")
            if column and column != LEFT_OUT and column in seen:
                self.add_error(f"h{match.at}", f"“{seen[column]}” is taken for it already: leave one of them out.")
            seen.setdefault(column, match.heading)
        return given

    @property
    def meant(self) -> dict[str, str]:
        """Heading to the column's name, "" for left out."""
        given = {match.heading: self.cleaned_data[f"h{match.at}"] for match in self.matches}
        return {heading: "" if column == LEFT_OUT else column for heading, column in given.items()}
