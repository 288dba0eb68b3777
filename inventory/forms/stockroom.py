"""Forms and filters of the stockroom."""

import uuid

import django_filters
from django import forms
from django.db.models import Exists, F, OuterRef
from django.utils import timezone

from inventory.domain.lots import ADJUSTING, MOST_PAIRS
from inventory.faults import NAMES
from inventory.models import FIRSTS, GRADES, Candle, Colour, Lot, Shelf, Wax
from inventory.queries.catalogue import matching_candles

PAIRS = {"min_value": 0, "max_value": MOST_PAIRS}
DAY = {"type": "date"}


class CandleChoice(forms.ModelChoiceField):
    """Candles by code, so that a keyboard finds one by typing it."""

    def label_from_instance(self, candle):
        return f"{candle.code}  {candle.name}"


def fault_field(**options) -> forms.CharField:
    """The workshop's own words, with the usual faults offered (the page lists them in <datalist id="faults">)."""
    widget = forms.TextInput(attrs={"list": "faults"})
    help_text = f"For example {', '.join(NAMES[:3])}; or in your own words."
    return forms.CharField(max_length=40, widget=widget, help_text=help_text, **options)


class OnceForm(forms.Form):
    """A form that moves pairs once, however often it is sent."""

    submission = forms.UUIDField(widget=forms.HiddenInput, initial=uuid.uuid4)


class CountInForm(OnceForm):
    candle = CandleChoice(queryset=Candle.objects.filter(active=True), empty_label="Choose a candle")
    grade = forms.ChoiceField(choices=GRADES, initial=GRADES[0][0])
    pairs = forms.IntegerField(min_value=1, max_value=MOST_PAIRS)
    made_on = forms.DateField(
        label="Dipped on", initial=timezone.localdate, widget=forms.DateInput(format="%Y-%m-%d", attrs=DAY)
    )
    fault = fault_field(required=False, label="Fault, of seconds")
    shelf = forms.ModelChoiceField(queryset=Shelf.objects.all(), required=False, empty_label="the candle's own shelf")
    code = forms.CharField(
        max_length=20,
        required=False,
        label="Code on the box",
        help_text="Empty: the next of that grade and day, as F26-1125-03.",
    )
    reason = forms.CharField(
        max_length=200, label="Where they come from", help_text="For example: found at the yearly count."
    )


class AdjustForm(OnceForm):
    kind = forms.ChoiceField(label="What happened", choices=[(kind, kind) for kind in ADJUSTING])
    pairs = forms.IntegerField(
        **PAIRS, help_text="Recounted: the pairs that lie there now. Else: the pairs that went or came back."
    )
    reason = forms.CharField(max_length=200)
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False, **PAIRS)


class RegradeForm(OnceForm):
    pairs = forms.IntegerField(min_value=1, max_value=MOST_PAIRS, label="Pairs that become seconds")
    fault = fault_field(label="What is wrong with them")
    reason = forms.CharField(max_length=200, help_text="How it was noticed.")
    shelf = forms.ModelChoiceField(
        queryset=Shelf.objects.all(), required=False, label="They go to shelf", empty_label="the same shelf"
    )


class ShelveForm(forms.Form):
    shelf = forms.ModelChoiceField(
        queryset=Shelf.objects.all(), required=False, label="It lies on", empty_label="no shelf"
    )


class SearchFilter(django_filters.FilterSet):
    """A search field over candles' codes and names."""

    q = django_filters.CharFilter(label="Code or name", method="search")

    def search(self, candles, name, text):
        fitting = matching_candles(text, Candle.objects.all()).order_by().values("pk")
        return candles.filter(**{f"{self.candle}in": fitting})

    candle = "pk__"


class StockFilter(SearchFilter):
    """Narrows the stockroom by candle."""

    SHORT = [("free", "none free"), ("all", "none on hand")]

    wax = django_filters.ModelChoiceFilter(queryset=Wax.objects.all(), empty_label="any")
    colour = django_filters.ModelChoiceFilter(queryset=Colour.objects.all(), empty_label="any")
    shelf = django_filters.ModelChoiceFilter(
        queryset=Shelf.objects.all(), label="Lies on shelf", empty_label="any", method="lying_on"
    )
    short = django_filters.ChoiceFilter(
        choices=SHORT, label="Firsts that are short", empty_label="all", method="running_short"
    )

    class Meta:
        model = Candle
        fields = []

    def lying_on(self, candles, name, shelf):
        return candles.filter(Exists(Lot.objects.filter(candle=OuterRef("pk"), shelf=shelf, on_hand__gt=0)))

    def running_short(self, candles, name, what):
        firsts = Lot.objects.filter(candle=OuterRef("pk"), grade=FIRSTS, on_hand__gt=0)
        return candles.filter(~Exists(firsts.filter(set_aside__lt=F("on_hand")) if what == "free" else firsts))


class LotFilter(SearchFilter):
    """Narrows the lots. Without a word about stock only lots that hold pairs are shown."""

    STANDS = [("free", "with free pairs"), ("empty", "empty"), ("all", "all ever")]

    candle = "candle__"
    q = django_filters.CharFilter(label="Lot, code or name", method="search")
    grade = django_filters.ChoiceFilter(choices=GRADES, empty_label="both")
    shelf = django_filters.ModelChoiceFilter(queryset=Shelf.objects.all(), empty_label="any")
    fault = django_filters.CharFilter(lookup_expr="icontains", label="Fault")
    stock = django_filters.ChoiceFilter(choices=STANDS, label="Lots", empty_label="that hold pairs", method="holding")

    class Meta:
        model = Lot
        fields = []

    def search(self, lots, name, text):
        return super().search(lots, name, text) | lots.filter(code__istartswith=text)

    def holding(self, lots, name, what):
        return lots

    @property
    def qs(self):
        what = self.form.cleaned_data.get("stock") if self.is_bound and self.form.is_valid() else ""
        held = {"free": {"free_now__gt": 0}, "empty": {"on_hand": 0}, "all": {}}.get(what, {"on_hand__gt": 0})
        return super().qs.filter(**held)
