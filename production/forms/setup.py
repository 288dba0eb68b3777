"""Forms of the floor's set-up: carousels, kinds of frame, hours, days off, what waxes bear, the floor's figures."""

from decimal import Decimal

from django import forms
from django.core.validators import MaxValueValidator, MinValueValidator

from inventory.forms.setup import SetUpForm
from inventory.models import Wax
from production.domain.figures import COST_FIELDS, FIELDS
from production.models import Carousel, ChangeOver, CostFigures, DayOff, FloorFigures, FrameKind, WaxHeat, WorkingDay

DAY = {"type": "date"}
TIME = {"type": "time"}


class CarouselForm(SetUpForm):
    class Meta:
        model = Carousel
        fields = ("name", "positions", "active")
        help_texts = {"positions": "Frames it carries; six is usual."}


class FrameKindForm(SetUpForm):
    class Meta:
        model = FrameKind
        fields = ("name", "bars", "usable_mm", "pitch", "iron_g", "over_mm", "active")
        help_texts = {
            "usable_mm": "Of one bar, from the first wick to the last.",
            "pitch": "From wick to wick; 3 is usual, below 2 candles kiss.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["usable_mm"].validators.append(MaxValueValidator(3000, "No bar is longer than 3,000 mm."))
        self.fields["iron_g"].validators += [
            MinValueValidator(50, "A frame weighs at least 50 g."),
            MaxValueValidator(25_000, "Nobody lifts 25 kg of iron: check the figure (g)."),
        ]


class WorkingDayForm(SetUpForm):
    class Meta:
        model = WorkingDay
        fields = ("weekday", "starts", "ends")
        widgets = {name: forms.TimeInput(format="%H:%M", attrs=TIME) for name in ("starts", "ends")}

    def clean(self):
        given = super().clean()
        starts, ends = given.get("starts"), given.get("ends")
        if starts and ends and ends <= starts:
            self.add_error("ends", "The day ends before it starts.")
        return given


class DayOffForm(SetUpForm):
    class Meta:
        model = DayOff
        fields = ("day", "note")
        widgets = {"day": forms.DateInput(format="%Y-%m-%d", attrs=DAY)}


class DaysOffForm(forms.Form):
    """A day, or a whole holiday."""

    day = forms.DateField(label="Day", widget=forms.DateInput(format="%Y-%m-%d", attrs=DAY))
    last = forms.DateField(
        label="Last day, of several", required=False, widget=forms.DateInput(format="%Y-%m-%d", attrs=DAY)
    )
    note = forms.CharField(max_length=60, required=False)

    def clean(self):
        given = super().clean()
        # Outside these a year has slipped, and the clock would step over it day by day.
        for name in ("day", "last"):
            if given.get(name) and not 2000 <= given[name].year <= 2100:
                self.add_error(name, "A year from 2000 to 2100.")
        return given


class WaxHeatForm(SetUpForm):
    class Meta:
        model = WaxHeat
        fields = ("wax", "congeals_c", "flash_c", "discolours_c", "in_hand_kg")
        help_texts = {
            "congeals_c": "Paraffin for dipping 56 to 60, beeswax 61 to 66, stearin 54 and more.",
            "flash_c": "Of all that is in it, the lowest you find: paraffin 190, beeswax 204, stearin 196.",
            "discolours_c": "Beeswax 85. Empty: it does not.",
            "in_hand_kg": "Of a wax with a blend its lots say it. Empty: not known, the plan takes it as enough.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["wax"].empty_label = "Choose a wax"
        if not self.instance.pk:
            self.fields["wax"].queryset = Wax.objects.filter(heat=None)
        # Waxes set between 47 and 82 C and flash from 190 C on (TRADE 1); far outside it is a slip.
        bounds = {"congeals_c": (30, 95), "flash_c": (120, 400), "discolours_c": (40, 200)}
        for name, (low, high) in bounds.items():
            said = f"Between {low} and {high} C."
            self.fields[name].validators += [MinValueValidator(Decimal(low), said), MaxValueValidator(high, said)]


class ChangeOverTimeForm(SetUpForm):
    class Meta:
        model = ChangeOver
        fields = ("from_wax", "from_colour", "to_wax", "to_colour", "minutes")
        help_texts = {"minutes": "Of work, to empty, clean and fill the vat. From light to dark is quicker than back."}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in self.value_fields[:4]:
            self.fields[name].empty_label = f"Choose a {name.partition('_')[2]}"


class FiguresForm(SetUpForm):
    """A row there is one of: it goes by its version."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=2**31 - 1)
    seen = None

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.initial["version"] = self.instance.version

    def see(self, row):
        self.data = self.data.copy()
        self.data["version"] = row.version


class FloorFiguresForm(FiguresForm):
    class Meta:
        model = FloorFigures
        fields = FIELDS
        help_texts = {
            "plan_days": "15 are three weeks of five days.",
            "hands": "People who thread at the same time: so many new frames a half-day.",
            "handling_seconds": "Swinging it over, waiting for the drip, swinging it away.",
        }


class CostFiguresForm(FiguresForm):
    class Meta:
        model = CostFigures
        fields = COST_FIELDS
        help_texts = {
            "pay_hour": "With what the employer pays on top.",
            "grade_minutes": "Once it is hard.",
            "room_c": "Where wax begins from when it is melted.",
        }
