"""What the order book can be narrowed to."""

import django_filters
from django import forms
from django.db.models import Exists, OuterRef

from inventory.queries.catalogue import matching_candles
from orders.models import Order, OrderLine, Shop
from orders.models.order import CANCELLED, CONFIRMED, DONE, DRAFT
from orders.queries import book

COVERS = {
    "covered": ("covered", book.covered),
    "floor": ("waits on the floor", book.on_floor),
    "planned": ("waits on the dip plan", book.planned),
    "short": ("short: pairs are open", book.short),
    "nothing": ("nothing set aside yet", book.bare),
    "ready": ("ready to pack", book.ready),
}
EVERY = "every"
STATES = [(DRAFT, "drafts"), (DONE, "done"), (CANCELLED, "cancelled"), (EVERY, "every order")]


def _day(label: str, lookup: str) -> django_filters.DateFilter:
    return django_filters.DateFilter(
        field_name="ship_by", lookup_expr=lookup, label=label, widget=forms.DateInput(attrs={"type": "date"})
    )


class BookFilter(django_filters.FilterSet):
    """Nothing chosen: the open orders."""

    shop = django_filters.ModelChoiceFilter(queryset=Shop.objects.only("name", "town"), empty_label="every shop")
    since = _day("Ship by, from", "gte")
    until = _day("Ship by, until", "lte")
    cover = django_filters.ChoiceFilter(
        label="Cover",
        choices=[(key, label) for key, (label, _) in COVERS.items()],
        method="by_cover",
        empty_label="any",
    )
    candle = django_filters.CharFilter(label="Candle", max_length=80, method="by_candle")
    status = django_filters.ChoiceFilter(label="Orders", choices=STATES, method="by_status", empty_label="open orders")

    class Meta:
        model = Order
        fields = ("shop", "since", "until", "cover", "candle", "status")

    def filter_queryset(self, queryset):
        queryset = super().filter_queryset(queryset)
        return queryset if self.form.cleaned_data.get("status") else queryset.filter(status=CONFIRMED)

    def by_status(self, queryset, name, value):
        return queryset if value == EVERY else queryset.filter(status=value)

    def by_cover(self, queryset, name, value):
        return COVERS[value][1](queryset)

    def by_candle(self, queryset, name, value):
        fitting = matching_candles(value).order_by().values("pk")
        return queryset.filter(Exists(OrderLine.objects.filter(order=OuterRef("pk"), candle__in=fitting)))
