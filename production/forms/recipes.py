"""The form of a recipe: its own figures, and a row of fields for each stage. Rows come and go without JavaScript."""

from collections.abc import Sequence

import django_filters
from django import forms
from django.core.validators import MinValueValidator
from django.forms import BaseFormSet, formset_factory

from inventory.forms.setup import SetUpForm
from inventory.forms.stockroom import SearchFilter
from inventory.models import Candle, Colour, Wax
from production.domain.recipes import FIELDS, MOST_STAGES, STAGE_FIELDS
from production.models import Recipe, Stage

PREFIX = "stages"
STANDS = [("", "all"), ("false", "written"), ("true", "missing")]
REBUILDING = ("add_stage", "drop_stage", "earlier_stage")


class RecipeFilter(SearchFilter):
    """Narrows the recipes by candle."""

    wax = django_filters.ModelChoiceFilter(queryset=Wax.objects.all(), empty_label="any")
    colour = django_filters.ModelChoiceFilter(queryset=Colour.objects.all(), empty_label="any")
    missing = django_filters.BooleanFilter(
        field_name="recipe", lookup_expr="isnull", label="Recipe", widget=forms.Select(choices=STANDS)
    )

    class Meta:
        model = Candle
        fields = []


class RecipeForm(SetUpForm):
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=2**31 - 1)
    seen = None

    class Meta:
        model = Recipe
        fields = FIELDS
        labels = {
            "harden_hours": "Hardens for (hours)",
            "firsts_good": "Firsts expected",
            "firsts_of": "of so many pairs",
        }
        help_texts = {
            "start_mm": "Wick with its first, long dip.",
            "gauge_low_mm": "Base diameter; half a mm to either side is usual.",
            "firsts_good": "Until its own gradings know better.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.initial.setdefault("version", self.instance.version if self.instance.pk else 0)

    def _post_clean(self):
        """The rules over several fields belong to the domain, which sees the stages too."""

    def see(self, row):
        self.data = self.data.copy()
        self.data["version"] = row.version


class StageForm(forms.ModelForm):
    class Meta:
        model = Stage
        fields = STAGE_FIELDS
        help_texts = {"until_mm": "Empty: on to the gauge.", "finish_dips": "0: it builds the candle up."}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["celsius"].validators.append(MinValueValidator(40, "No vat stands below 40 C."))
        self.fields["wax"].empty_label = self.fields["colour"].empty_label = None

    def _post_clean(self):
        """As in the recipe's form."""

    @property
    def number(self) -> int:
        return int(self.prefix.rsplit("-", 1)[1]) + 1


class StageForms(BaseFormSet):
    """The stages in their order."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, prefix=PREFIX, **kwargs)
        self.waxes = self.colours = None

    def get_form_kwargs(self, index):
        return {**super().get_form_kwargs(index), "empty_permitted": False, "use_required_attribute": False}

    def _construct_form(self, i, **kwargs):
        form = super()._construct_form(i, **kwargs)
        # One query for the choices of all rows.
        self.waxes = self.waxes or [(wax.pk, wax.name) for wax in Wax.objects.all()]
        self.colours = self.colours or [(colour.pk, colour.name) for colour in Colour.objects.all()]
        form.fields["wax"].widget.choices, form.fields["colour"].widget.choices = self.waxes, self.colours
        return form

    def stages(self) -> list[dict]:
        return [{name: form.cleaned_data[name] for name in STAGE_FIELDS} for form in self.forms]


make_stage_forms = formset_factory(
    StageForm, formset=StageForms, extra=0, max_num=MOST_STAGES, absolute_max=MOST_STAGES, validate_max=True
)


def stages_shown(stages: Sequence[Stage]) -> StageForms:
    """The rows of a recipe as it stands, or as the candle suggests it."""
    return make_stage_forms(initial=[_values(stage) for stage in stages])


def rebuilt(data) -> StageForms | None:
    """The rows with one more, one fewer, or one moved up, as a button of the form asks; None where none does.

    What is typed stays as it is, right or wrong: it is looked at when the recipe is saved.
    """
    asked = next((name for name in REBUILDING if name in data), None)
    if asked is None:
        return None
    rows = _typed(data)
    if asked == "add_stage":
        rows = rows[: MOST_STAGES - 1]
        # A stage more of the same kind comes before the finish, where one is there.
        rows.append(dict(rows[-1], until_mm="", finish_dips="0") if rows else {})
        return make_stage_forms(initial=rows)
    number = int(data[asked]) if data[asked].isdecimal() and len(data[asked]) < 3 else -1
    if 0 <= number < len(rows):
        row = rows.pop(number)
        if asked == "earlier_stage":
            rows.insert(max(0, number - 1), row)
    return make_stage_forms(initial=rows)


def typed_recipe(data, candle: Candle) -> RecipeForm:
    """The recipe's own fields as they were typed, not yet looked at."""
    names = ("version", *FIELDS)
    return RecipeForm(instance=Recipe(candle=candle), initial={name: data.get(name, "") for name in names})


def _typed(data) -> list[dict[str, str]]:
    rows = []
    for number in range(MOST_STAGES):
        names = {name: f"{PREFIX}-{number}-{name}" for name in STAGE_FIELDS}
        if not any(key in data for key in names.values()):
            break
        rows.append({name: data.get(key, "") for name, key in names.items()})
    return rows


def _values(stage: Stage) -> dict:
    values = {name: getattr(stage, name) for name in STAGE_FIELDS}
    return {**values, "wax": stage.wax_id, "colour": stage.colour_id}
