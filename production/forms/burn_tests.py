"""Forms of a test burn: three samples weighed, then a cycle at a time."""

from datetime import timedelta
from decimal import Decimal

from django import forms
from django.utils import timezone

from inventory.forms.stockroom import OnceForm
from inventory.models import Lot
from production.models import BurnCycle
from production.models.burn import SAMPLES

DAY = {"type": "date"}
GRAMS = {"min_value": Decimal("0.1"), "max_value": Decimal(20_000), "max_digits": 7, "decimal_places": 2}


def _today_field(label: str) -> forms.DateField:
    return forms.DateField(
        label=label, initial=timezone.localdate, widget=forms.DateInput(format="%Y-%m-%d", attrs=DAY)
    )


class BurnTestForm(OnceForm):
    mass_1 = forms.DecimalField(label="Sample 1 weighs (g)", **GRAMS)
    mass_2 = forms.DecimalField(label="Sample 2 weighs (g)", **GRAMS)
    mass_3 = forms.DecimalField(label="Sample 3 weighs (g)", **GRAMS)
    begun_on = _today_field("Weighed on")
    lot = forms.ModelChoiceField(queryset=Lot.objects.none(), required=False, empty_label="of no lot in particular")
    note = forms.CharField(max_length=200, required=False, help_text="Draughts, room, holder: what may matter later.")

    def __init__(self, *args, candle, **kwargs):
        super().__init__(*args, **kwargs)
        of_late = timezone.localdate() - timedelta(days=366)
        self.fields["lot"].queryset = Lot.objects.filter(candle=candle, made_on__gte=of_late).order_by(
            "-made_on", "-pk"
        )

    @property
    def masses(self) -> list[Decimal]:
        return [self.cleaned_data[f"mass_{number}"] for number in range(1, SAMPLES + 1)]


class CycleForm(OnceForm, forms.ModelForm):
    """One burn. The sample that has burnt least is offered first."""

    sample = forms.TypedChoiceField(
        coerce=int, choices=[(number, f"sample {number}") for number in range(1, SAMPLES + 1)]
    )
    burnt_on = _today_field("Burnt on")

    class Meta:
        model = BurnCycle
        fields = ("rest_min", "minutes", "mass_g", "flame_mm", "glow_s", "relit", "soot_index", "note")
        help_texts = {
            "rest_min": "At least 60 between two burns; 0 before the first.",
            "minutes": "240, or less where it burnt down to the last 10 mm.",
            "glow_s": "From putting it out until it neither smokes nor glows.",
        }

    field_order = ("submission", "sample", "burnt_on", "rest_min", "minutes", "mass_g", "flame_mm", "glow_s")


class TakeBackForm(forms.Form):
    cycle = forms.IntegerField(min_value=1, max_value=2**63 - 1)
