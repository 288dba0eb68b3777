"""Forms of the seconds shelf: selling, making up a box, the list of a day, what goes to the remelt."""

from collections.abc import Callable, Iterable
from datetime import timedelta
from decimal import Decimal

import django_filters
from django import forms
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.forms.stockroom import SearchFilter
from inventory.models import SECONDS, Lot
from orders.forms.bags import bags_field
from orders.forms.prices import day_field
from orders.forms.promises import VersionForm
from orders.models import MOST_PAIRS, BoxKind, SecondsBox, Shop
from orders.models.seconds_box import BY_COUNT
from orders.reading.tokens import read_quantity

MOST_DAYS = 3650
FIGURES = {"inputmode": "decimal", "autocomplete": "off"}


class SellForm(forms.Form):
    shop = forms.ModelChoiceField(
        Shop.objects.filter(active=True).order_by("name"),
        empty_label="Choose the shop",
        error_messages={"required": "Who buys them? Choose the shop.", "invalid_choice": "Choose a shop of the list."},
    )
    bags = bags_field()
    submission = forms.UUIDField(widget=forms.HiddenInput)

    def clean_bags(self):
        return self.cleaned_data["bags"] or 0


def read_pairs(rows: Iterable, data, key: Callable) -> list[tuple]:
    """(row, pairs) where pairs were typed beside a row, in its field "pairs-" and `key`.

    What cannot be read is told at its row (`error`), which keeps what was typed.
    """
    chosen = []
    for row in rows:
        row.typed = data.get(f"pairs-{key(row)}", "").replace("\x00", "").strip()
        if not row.typed:
            continue
        amount = read_quantity(row.typed)
        if amount is None or amount[1] != "pairs" or not 0 < amount[0] <= MOST_PAIRS:
            row.error = f"A whole number of pairs, 1 to {row.free}."
        else:
            chosen.append((row, amount[0]))
    return chosen


def ticked(data, name: str) -> list[int]:
    """The keys ticked on a form; what is no key is left out."""
    return [int(text) for text in data.getlist(name) if text.isascii() and text.isdigit() and len(text) < 19]


def money_field(label: str, help_text: str = "") -> forms.DecimalField:
    return forms.DecimalField(
        label=label, help_text=help_text, required=False, min_value=Decimal("0.01"), max_digits=8, decimal_places=2,
        widget=forms.TextInput(attrs=FIGURES),
    )  # fmt: skip


class MakeUpForm(forms.Form):
    """A box of seconds; the pairs stand beside their lots."""

    kind = forms.ModelChoiceField(BoxKind.objects.filter(active=True), label="In which box", empty_label=None)
    sold_by = forms.ChoiceField(label="Sold", choices=SecondsBox._meta.get_field("sold_by").choices, initial=BY_COUNT)
    weight = forms.DecimalField(
        label="The scales say (kg)",
        help_text="The candles without the box, as 2.35. Sold by count it may stay empty.",
        required=False,
        min_value=Decimal("0.001"),
        max_value=Decimal(25),
        decimal_places=3,
        widget=forms.TextInput(attrs=FIGURES),
    )
    price = money_field("Its price (GBP)", "Without VAT. Empty: by the rule for seconds.")
    kilo = money_field("Or a kilo (GBP)", "Times what the scales say.")
    sure = forms.BooleanField(label="The scales are right", required=False)
    submission = forms.UUIDField(widget=forms.HiddenInput)

    def clean(self):
        given = super().clean()
        if given.get("price") and given.get("kilo"):
            self.add_error("kilo", "The price of the box or of a kilo, not both.")
        return given

    @property
    def for_domain(self) -> dict:
        """The cleaned values as make_up_box takes them: the weight in whole grams."""
        given = dict(self.cleaned_data)
        weight = given.pop("weight")
        return {**given, "weight_g": None if weight is None else int(weight * 1000)}

    def refuse(self, error: ValidationError) -> list[str]:
        """Put each reason at its field; what belongs to no field is returned, to be said above the table."""
        fields = error.message_dict if hasattr(error, "error_dict") else {"contents": error.messages}
        for name in set(fields) & set(self.fields):
            self.add_error(name, fields[name])
        return [text for name, texts in fields.items() if name not in self.fields for text in texts]


class BoxVersionForm(VersionForm):
    """The box as it stood when the page was made."""


class BoxPriceForm(VersionForm):
    price = money_field("Price of the box (GBP)", "Without VAT. Empty: by the rule for seconds.")


class ListDayForm(forms.Form):
    day = day_field("For", "Prices and ages as of that day.")


class RemeltForm(forms.Form):
    reason = forms.CharField(label="Why", max_length=200)
    submission = forms.UUIDField(widget=forms.HiddenInput)


class SecondsFilter(SearchFilter):
    """Narrows the lots of the seconds shelf."""

    candle = "candle__"
    q = django_filters.CharFilter(label="Lot, code or name", method="search")
    fault = django_filters.ChoiceFilter(empty_label="any", choices=lambda: [(f, f) for f in faults_there()])
    days = django_filters.NumberFilter(
        label="Dipped at least (days) ago", method="aged", min_value=1, max_value=MOST_DAYS,
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )  # fmt: skip

    class Meta:
        model = Lot
        fields = []

    def search(self, lots, name, text):
        return super().search(lots, name, text) | lots.filter(code__istartswith=text)

    def aged(self, lots, name, days):
        return lots.filter(made_on__lte=timezone.localdate() - timedelta(days=int(days)))


def faults_there() -> list[str]:
    rows = Lot.objects.filter(grade=SECONDS, on_hand__gt=0).order_by("fault").values_list("fault", flat=True)
    return list(rows.distinct())
