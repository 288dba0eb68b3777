"""What a sheet of pack labels is asked for. Sent by GET: printing changes nothing."""

from decimal import Decimal

from django import forms

from inventory.label_layout import MOST_LABELS, PACK
from inventory.models import SECONDS, Candle, Lot
from inventory.queries.labels import sheets_for
from inventory.safety_svg import MORE

MOST_PAIRS = 500


class LotChoice(forms.ModelChoiceField):
    def label_from_instance(self, lot):
        return f"{lot.code}: {lot.on_hand} on hand{', seconds' if lot.grade == SECONDS else ''}"


class PackLabelForm(forms.Form):
    lot = LotChoice(
        queryset=Lot.objects.none(),
        required=False,
        empty_label="none: the candle's code alone",
        help_text="Its code tells, should something be wrong, which pairs to call back.",
    )
    pairs = forms.IntegerField(label="Pairs to a pack", min_value=1, max_value=MOST_PAIRS, initial=1)
    net_g = forms.DecimalField(
        label="Net weight of a pack (g)",
        required=False,
        min_value=Decimal("0.1"),
        max_value=Decimal(100_000),
        max_digits=8,
        decimal_places=1,
        help_text="As weighed. Empty: reckoned from measures and wax, rounded down.",
    )
    count = forms.IntegerField(label="Labels", min_value=1, max_value=MOST_LABELS)
    sheet = forms.ModelChoiceField(queryset=None, empty_label=None)
    start = forms.IntegerField(
        label="Begin at label",
        min_value=1,
        max_value=400,
        initial=1,
        help_text="Of a sheet that was begun: counted along the rows.",
    )
    burn = forms.BooleanField(label="How long it burns, as an estimate", required=False, initial=True)
    more = forms.MultipleChoiceField(
        label="Marks beyond those that always stand",
        required=False,
        choices=[(mark.key, mark.sentence) for mark in MORE],
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args, candle: Candle, **kwargs):
        super().__init__(*args, **kwargs)
        self.candle = candle
        self.fields["lot"].queryset = Lot.objects.filter(candle=candle, on_hand__gt=0).order_by(
            "grade", "-made_on", "-pk"
        )
        self.fields["sheet"].queryset = sheets_for(PACK)

    def clean(self):
        given = super().clean()
        sheet, start = given.get("sheet"), given.get("start")
        if sheet and start and start > sheet.to_a_page:
            self.add_error("start", f"{sheet} has {sheet.to_a_page} labels to a page.")
        return given
