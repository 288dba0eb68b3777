"""What the faults page is asked: since when, and of which candle, wax, vat or person."""

from datetime import timedelta

import django_filters
from django.contrib.auth import get_user_model
from django.utils import timezone

from inventory.models import Candle, Wax
from production.models import Grading, Vat

SPANS = [("30", "the last 30 days"), ("365", "the last year"), ("all", "all there is")]
USUAL = 90


class FaultFilter(django_filters.FilterSet):
    """Narrows the gradings. Persons can only be asked for where the owner switched it on."""

    since = django_filters.ChoiceFilter(
        choices=SPANS, label="Frames of", empty_label="the last 90 days", method="spanning"
    )
    candle = django_filters.ModelChoiceFilter(
        queryset=Candle.objects.filter(frames__grading__isnull=False).distinct(),
        field_name="frame__candle",
        label="Candle",
        empty_label="any",
    )
    wax = django_filters.ModelChoiceFilter(
        queryset=Wax.objects.all(), field_name="frame__candle__wax", label="Wax", empty_label="any"
    )
    vat = django_filters.ModelChoiceFilter(
        queryset=Vat.objects.all(), label="Dipped last in", empty_label="any", method="in_vat"
    )
    person = django_filters.ModelChoiceFilter(
        queryset=get_user_model().objects.all(), label="Run begun by", empty_label="anybody", method="by_person"
    )

    class Meta:
        model = Grading
        fields = []

    def __init__(self, *args, by_person: bool, **kwargs):
        super().__init__(*args, **kwargs)
        if not by_person:
            del self.filters["person"]
        else:
            dippers = get_user_model().objects.filter(pk__in=self.queryset.order_by().values("dipper"))
            self.filters["person"].queryset = dippers.order_by("full_name")

    def in_vat(self, rows, name, vat):
        return rows.filter(vat=vat.pk)

    def by_person(self, rows, name, person):
        return rows.filter(dipper=person.pk)

    def spanning(self, rows, name, span):
        return rows

    @property
    def span(self) -> str:
        """The days asked for: "30", "90", "365" or "all"."""
        asked = self.form.cleaned_data.get("since") if self.is_bound and self.form.is_valid() else ""
        return asked or str(USUAL)

    @property
    def qs(self):
        rows = super().qs
        if self.span == "all":
            return rows
        return rows.filter(frame__off_at__gte=timezone.now() - timedelta(days=int(self.span)))
