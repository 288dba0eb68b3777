"""What the dip list can be narrowed to."""

import django_filters
from django import forms

from inventory.models import Candle
from inventory.queries.catalogue import matching_candles


class DipListFilter(django_filters.FilterSet):
    candle = django_filters.CharFilter(label="Candle", max_length=80, method="by_candle")
    until = django_filters.DateFilter(
        field_name="earliest",
        lookup_expr="lte",
        label="Needed by",
        widget=forms.DateInput(attrs={"type": "date"}),
    )

    class Meta:
        model = Candle
        fields = ("candle", "until")

    def by_candle(self, queryset, name, value):
        return queryset.filter(pk__in=matching_candles(value).order_by().values("pk"))
