from django import forms

from inventory.label_layout import CASE
from inventory.queries.labels import sheets_for


class CaseLabelForm(forms.Form):
    sheet = forms.ModelChoiceField(queryset=None, empty_label=None)
    start = forms.IntegerField(
        label="Begin at label",
        min_value=1,
        max_value=400,
        initial=1,
        help_text="Of a sheet that was begun: counted along the rows.",
    )

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["sheet"].queryset = sheets_for(CASE)

    def clean(self):
        given = super().clean()
        sheet, start = given.get("sheet"), given.get("start")
        if sheet and start and start > sheet.to_a_page:
            self.add_error("start", f"{sheet} has {sheet.to_a_page} labels to a page.")
        return given
