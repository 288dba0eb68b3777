"""Forms of the set-up's lists that belong to orders."""

from datetime import date

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator
from django.utils import timezone

from inventory.domain.versions import fingerprint
from inventory.forms.setup import SetUpForm
from orders.domain.set_up import MOST_NUMBER
from orders.models import BoxKind, Series, VanDay, VatRate

LONGEST_BOX_MM = 2000
VAT_BEGAN = date(1973, 4, 1)  # in the United Kingdom; from memory
YEARS_AHEAD = 5


class BoxKindForm(SetUpForm):
    class Meta:
        model = BoxKind
        fields = (
            "name",
            "length_mm",
            "width_mm",
            "height_mm",
            "tare_g",
            "limit_g",
            "material",
            "label",
            "standard",
            "active",
        )
        help_texts = {"standard": "What “pairs to a box” of a candle means. There is one; a new one takes over."}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        for name in ("length_mm", "width_mm", "height_mm"):
            self.fields[name].validators.append(MaxValueValidator(LONGEST_BOX_MM))
        for name in ("material", "label"):
            self.fields[name].empty_label = "none"
        if not self.instance.pk:
            # A box is written down because it is in use.
            self.initial.setdefault("active", True)

    def clean(self):
        given = super().clean()
        tare, limit = given.get("tare_g"), given.get("limit_g")
        if tare is not None and limit is not None and tare >= limit:
            self.add_error("tare_g", "The empty box weighs as much as it may weigh full.")
        if given.get("standard") and not given.get("active"):
            self.add_error("active", "The standard box is one in use.")
        return given

    def _get_validation_exclusions(self):
        # That there is one standard box is the domain's to arrange: the old one gives the mark up.
        return {*super()._get_validation_exclusions(), "standard"}


class VanDayForm(SetUpForm):
    class Meta:
        model = VanDay
        fields = ("weekday", "note")
        help_texts = {"note": "Where it goes, or when it leaves."}


class VatRateForm(SetUpForm):
    class Meta:
        model = VatRate
        fields = ("vat_class", "category", "percent", "since", "reason")
        widgets = {"since": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}
        help_texts = {"since": "The first day it is in force. The law sets rates; this book only applies them."}

    def clean(self):
        given = super().clean()
        category, percent = given.get("category"), given.get("percent")
        if category and percent is not None and (percent > 0) != (category == "S"):
            self.add_error("percent", "Categories Z and E are 0 %; category S is above 0 %.")
        if category and (category == "E") != bool(given.get("reason")):
            self.add_error("reason", "An exempt class says why it is exempt; the others need no reason.")
        return given

    def clean_since(self):
        since, latest = self.cleaned_data["since"], timezone.localdate().year + YEARS_AHEAD
        if since < VAT_BEGAN:
            raise ValidationError("VAT began on 1 April 1973.")
        if since.year > latest:
            raise ValidationError(f"No later than {latest}.")
        return since


class SeriesForm(forms.Form):
    number = forms.IntegerField(label="Next number", min_value=1, max_value=MOST_NUMBER)
    sure = forms.BooleanField(
        label="It cannot be lowered again",
        error_messages={"required": "Tick this: a number that was passed over cannot come back."},
    )
    seen = forms.CharField(widget=forms.HiddenInput, max_length=32)

    def __init__(self, data=None, *, series: Series):
        super().__init__(data, initial={"number": series.next, "seen": fingerprint(series, ("next",))})

    def see(self, series: Series) -> None:
        self.data = self.data.copy()
        self.data["seen"] = fingerprint(series, ("next",))
