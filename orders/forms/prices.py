"""Forms of the price lists: beginning one as a copy, and one form with every candle and the box breaks."""

from decimal import Decimal

from django import forms
from django.core.exceptions import ValidationError

from orders.domain.price_lists import BreakRow
from orders.models import PriceList, ShopGroup
from orders.models.price import CURRENCIES, MOST_DISCOUNT, STERLING
from orders.prices import DEAREST, FIVEPENCE, PENNY
from orders.queries.prices import PricedCandle

STEPS = [(str(PENNY), "the penny"), (str(FIVEPENCE), "5p")]
BLANK_BREAKS = 3
NUMBER = {"inputmode": "decimal", "autocomplete": "off"}


def day_field(label: str, help_text: str = "", *, required: bool = True) -> forms.DateField:
    widget = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    return forms.DateField(label=label, help_text=help_text, required=required, widget=widget)


def price_field(label: str, *, required: bool = False) -> forms.DecimalField:
    return forms.DecimalField(
        label=label,
        required=required,
        min_value=PENNY,
        max_value=DEAREST,
        decimal_places=2,
        widget=forms.TextInput(attrs={**NUMBER, "class": "price"}),
    )


class NewListForm(forms.Form):
    """A list begins as a copy: of the trade prices or of another list, raised or lowered by percent."""

    name = forms.CharField(max_length=40, help_text="As it stands beside every price: Trade list 2027.")
    since = day_field("In force from", "Orders confirmed from that day on go by it.")
    group = forms.ModelChoiceField(ShopGroup.objects.all(), required=False, label="For", empty_label="everybody")
    currency = forms.ChoiceField(choices=CURRENCIES, initial=STERLING)
    source = forms.ModelChoiceField(
        PriceList.objects.all(), required=False, label="Copied from", empty_label="the trade prices"
    )
    percent = forms.DecimalField(
        label="Raised by (%)",
        required=False,
        min_value=-MOST_DISCOUNT,
        max_value=900,
        decimal_places=2,
        widget=forms.TextInput(attrs={"inputmode": "text", "autocomplete": "off"}),
        help_text="With a minus it lowers them.",
    )
    step = forms.ChoiceField(label="Rounded to", choices=STEPS)

    def clean_percent(self):
        return self.cleaned_data["percent"] or Decimal(0)

    def clean_step(self):
        return Decimal(self.cleaned_data["step"])


class ListForm(forms.Form):
    """A list's page: a price a candle (empty: not on the list) and the breaks. `used` names the day of the newest
    order confirmed by the list; then `since` is when changed prices begin.
    """

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=2**31 - 1)
    name = forms.CharField(max_length=40)
    since = day_field("In force from")
    note = forms.CharField(label="Note at the foot of the printed list", max_length=200, required=False)

    def __init__(self, data=None, *, row: PriceList, candles: list[PricedCandle], used=None):
        start = {"version": row.version, "name": row.name, "since": row.since, "note": row.note}
        if used:
            start["since"] = None
        super().__init__(data, initial=start)
        self.row, self.candles, self.used = row, candles, used
        if used:
            self.fields["since"].label = "Changed prices begin on"
            self.fields["since"].required = False
        for one in candles:
            self.fields[f"price_{one.candle.pk}"] = price_field(f"Price of {one.candle.code}")
            self.initial[f"price_{one.candle.pk}"] = one.price
        self._add_breaks()

    def _add_breaks(self) -> None:
        """A row of three fields for each break, and a few blank ones."""
        breaks = list(self.row.breaks.select_related("candle").order_by("candle__code", "boxes"))
        wanted = [one.candle for one in self.candles]
        for n in range(max(len(breaks), self._breaks_sent()) + BLANK_BREAKS):
            kept = breaks[n] if n < len(breaks) else None
            fields = {
                "candle": forms.ChoiceField(
                    label=f"Break {n + 1}: candle",
                    required=False,
                    choices=[("", "every candle"), *((str(candle.pk), str(candle)) for candle in wanted)],
                ),
                "boxes": forms.IntegerField(
                    label=f"Break {n + 1}: from boxes", required=False, min_value=1, max_value=1000,
                    widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off", "class": "few"}),
                ),
                "percent": forms.DecimalField(
                    label=f"Break {n + 1}: percent off", required=False, min_value=PENNY, max_value=MOST_DISCOUNT,
                    decimal_places=2, widget=forms.TextInput(attrs={**NUMBER, "class": "few"}),
                ),
            }  # fmt: skip
            for name, field in fields.items():
                self.fields[f"break_{n}_{name}"] = field
            if kept:
                self.initial |= {
                    f"break_{n}_candle": str(kept.candle_id or ""),
                    f"break_{n}_boxes": kept.boxes,
                    f"break_{n}_percent": f"{kept.percent.normalize():f}",
                }

    def _breaks_sent(self) -> int:
        """How many rows of breaks came in: a page made before another hand's had more or fewer."""
        sent = [name.split("_")[1] for name in self.data if name.startswith("break_") and name.endswith("_boxes")]
        return min(max((int(n) + 1 for n in sent if n.isascii() and n.isdigit() and len(n) < 3), default=0), 60)

    @property
    def break_rows(self) -> list[tuple]:
        """(number, candle, boxes, percent) as bound fields."""
        numbers = sorted({int(name.split("_")[1]) for name in self.fields if name.startswith("break_")})
        return [(n + 1, *(self[f"break_{n}_{name}"] for name in ("candle", "boxes", "percent"))) for n in numbers]

    def bound_candles(self) -> list[tuple[PricedCandle, forms.BoundField]]:
        return [(one, self[f"price_{one.candle.pk}"]) for one in self.candles]

    def clean_since(self):
        # A used list began on its day whatever is typed; a day is asked for only where prices change.
        return self.cleaned_data["since"] or (self.row.since if self.used else None)

    def clean(self):
        given = super().clean()
        for n in range(len(self.break_rows)):
            boxes, percent = given.get(f"break_{n}_boxes"), given.get(f"break_{n}_percent")
            for name, here, other in (("boxes", boxes, percent), ("percent", percent, boxes)):
                if here is None and other is not None and f"break_{n}_{name}" not in self.errors:
                    self.add_error(f"break_{n}_{name}", "A break needs its boxes and its percent.")
            candle = given.get(f"break_{n}_candle")
            if boxes and candle and given.get(f"price_{candle}") is None and f"price_{candle}" not in self.errors:
                self.add_error(f"break_{n}_candle", "This candle has no price on the list.")
        return given

    def prices(self) -> dict[int, Decimal]:
        found = {one.candle.pk: self.cleaned_data[f"price_{one.candle.pk}"] for one in self.candles}
        return {candle: price for candle, price in found.items() if price is not None}

    def breaks(self) -> list[BreakRow]:
        rows = []
        for n in range(len(self.break_rows)):
            candle, boxes, percent = (
                self.cleaned_data[f"break_{n}_{name}"] for name in ("candle", "boxes", "percent")
            )
            if boxes:
                rows.append(BreakRow(int(candle) if candle else None, boxes, percent))
        return rows

    def refuse(self, error: ValidationError) -> None:
        """Put the domain's refusal at its field, or at the head."""
        told = error.error_dict if hasattr(error, "error_dict") else {None: error.error_list}
        for name, errors in told.items():
            self.add_error(name if name in self.fields else None, errors)

    def see(self, row: PriceList) -> None:
        """From now on this form stands against the row as it is."""
        self.data = self.data.copy()
        self.data["version"] = row.version
