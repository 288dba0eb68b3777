"""Forms of materials: lots taken in and put right, orders, blends and dyes, and the set-up's lists of them."""

from datetime import timedelta
from decimal import Decimal

import django_filters
from django import forms
from django.core.validators import MinValueValidator
from django.utils import timezone

from inventory.domain.material_lots import ADJUSTING, MOST_BOUGHT, MOST_PRICE
from inventory.domain.mixes import seen_of
from inventory.forms.setup import SetUpForm
from inventory.forms.stockroom import OnceForm
from inventory.material_words import BOUGHT_IN, as_bought, in_book_units
from inventory.models import Material, MaterialLot, Purchase, Supplier
from inventory.models.material import MATERIAL_KINDS, UNIT_OF

DAY = {"type": "date"}
MOST_PARTS = 5  # of one blend or colour; nobody mixes more
LONGEST = {"max_length": 200}


def day_field(**options) -> forms.DateField:
    return forms.DateField(widget=forms.DateInput(format="%Y-%m-%d", attrs=DAY), **options)


def price_field(**options) -> forms.DecimalField:
    return forms.DecimalField(min_value=0, max_value=MOST_PRICE, decimal_places=2, max_digits=10, **options)


class AmountField(forms.DecimalField):
    """An amount typed in kg, m or pieces, cleaned to the book's whole grams, millimetres or pieces."""

    def __init__(self, *, unit: str, label: str = "Amount", min_value=0, **options):
        self.unit = unit
        bounds = {"min_value": min_value, "max_value": MOST_BOUGHT, "decimal_places": 3}
        super().__init__(label=f"{label} ({BOUGHT_IN[unit][0]})", **bounds, **options)

    def clean(self, value):
        value = super().clean(value)
        if value is None:
            return None
        try:
            return in_book_units(value, self.unit)
        except ValueError as error:
            raise forms.ValidationError(str(error)) from None

    def prepare_value(self, value):
        # What was typed stays as typed; what comes from the book is in its own unit.
        return plain(as_bought(value, self.unit)) if isinstance(value, int) else value


def plain(figure: Decimal) -> str:
    return f"{figure:f}".rstrip("0").rstrip(".") if "." in f"{figure:f}" else f"{figure:f}"


class TakeInForm(OnceForm):
    """A delivery of one material. `prices`: whether the reader writes prices down, or leaves them to the owner."""

    def __init__(self, *args, material: Material, prices: bool, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["amount"] = AmountField(unit=material.unit)
        self.fields["came_on"] = day_field(label="Came on", initial=timezone.localdate)
        self.fields["supplier"] = forms.ModelChoiceField(
            Supplier.objects.filter(active=True),
            required=False,
            initial=material.supplier_id,
            empty_label="nobody named",
        )
        self.fields["supplier_lot"] = forms.CharField(
            label="Supplier's lot or batch", required=False, max_length=40,
            help_text="As it stands on the sack, reel or carton: a recall begins with it.",
        )  # fmt: skip
        self.fields["price"] = price_field(
            label="Price of all of it (GBP, without VAT)", required=False, help_text="Empty: it is written down later."
        )
        self.fields["note"] = forms.CharField(required=False, **LONGEST)
        if not prices:
            del self.fields["price"]

    def clean(self):
        given = super().clean()
        given["price"] = given.get("price") or self.unpriced
        return given

    unpriced = Decimal(0)


class CameForm(TakeInForm):
    """What was ordered has come."""

    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=2**31 - 1)

    def __init__(self, *args, purchase: Purchase, **kwargs):
        super().__init__(*args, material=purchase.material, **kwargs)
        del self.fields["supplier"]
        self.initial |= {"version": purchase.version, "amount": purchase.amount, "price": purchase.price}
        if "price" not in self.fields:
            self.unpriced = purchase.price or Decimal(0)


class CallOffForm(forms.Form):
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=0, max_value=2**31 - 1)
    reason = forms.CharField(label="Why it will not come", **LONGEST)


class OrderForm(OnceForm):
    """One material, ordered of a supplier."""

    def __init__(self, *args, material: Material, **kwargs):
        super().__init__(*args, **kwargs)
        least = plain(as_bought(material.pack, material.unit)) if material.pack else ""
        said = f"{material.supplier} sells {least} {BOUGHT_IN[material.unit][0]} at least." if least else ""
        self.fields["supplier"] = forms.ModelChoiceField(
            Supplier.objects.filter(active=True), initial=material.supplier_id, empty_label="Choose a supplier"
        )
        self.fields["amount"] = AmountField(
            unit=material.unit, initial=material.pack or None, help_text=said if material.supplier_id else ""
        )
        days = timedelta(days=material.supplier.lead_days if material.supplier else 0)
        self.fields["due_on"] = day_field(label="Expected on", initial=timezone.localdate() + days)
        self.fields["price"] = price_field(label="Price agreed for all of it (GBP, without VAT)", required=False)
        self.fields["note"] = forms.CharField(required=False, **LONGEST)


class AdjustLotForm(OnceForm):
    """A lot put right by hand."""

    kind = forms.ChoiceField(label="What happened", choices=[(kind, kind) for kind in ADJUSTING])
    reason = forms.CharField(**LONGEST)
    seen = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0)

    field_order = ("kind", "amount", "reason")

    def __init__(self, *args, lot: MaterialLot, **kwargs):
        super().__init__(*args, initial={"seen": lot.on_hand}, **kwargs)
        self.fields["amount"] = AmountField(
            unit=lot.material.unit,
            help_text="Recounted: what lies there now. Else: what was wasted, was sent back, or came back.",
        )
        self.order_fields(self.field_order)


class LotPriceForm(forms.Form):
    price = price_field(label="Price of all of it (GBP, without VAT)")


class SupplierForm(SetUpForm):
    class Meta:
        model = Supplier
        fields = ("name", "lead_days", "email", "telephone", "note", "active")
        labels = {"email": "E-mail"}
        help_texts = {"lead_days": "Calendar days, as a rule. What has to be ordered today is reckoned by them."}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if not self.instance.pk:
            self.initial.setdefault("active", True)


class MaterialForm(SetUpForm):
    """A material as it is bought. Smallest order and what is always kept are typed in kg, m or pieces."""

    pack = forms.DecimalField(label="Smallest order", min_value=0, max_value=MOST_BOUGHT, decimal_places=3, initial=0)
    keep = forms.DecimalField(label="Always keep", min_value=0, max_value=MOST_BOUGHT, decimal_places=3, initial=0)

    class Meta:
        model = Material
        fields = ("name", "kind", "supplier", "supplier_code", "pack", "keep", "active")
        help_texts = {
            "kind": "Wax and dye are kept by weight, wick by length, boxes and labels by the piece.",
            "supplier": "Who usually sells it.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["supplier"].empty_label = "nobody yet"
        self.fields["kind"].choices = [("", "Choose a kind"), *MATERIAL_KINDS]
        for name in ("pack", "keep"):
            self.fields[name].help_text = "In kg, m or pieces."
            if self.instance.pk:
                self.initial[name] = plain(as_bought(getattr(self.instance, name), self.instance.unit))
        if not self.instance.pk:
            self.initial.setdefault("active", True)

    def clean(self):
        given = super().clean()
        for name in ("pack", "keep"):
            if given.get("kind") and given.get(name) is not None:
                try:
                    given[name] = in_book_units(given[name], UNIT_OF[given["kind"]])
                except ValueError as error:
                    self.add_error(name, str(error))
        return given


class MixForm(forms.Form):
    """Parts of a blend or a colour: a material and its figure a row."""

    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=400)

    def __init__(self, *args, mix: dict, choices, figure: str, decimals: int, **kwargs):
        super().__init__(*args, **kwargs)
        self.initial.setdefault("seen", seen_of(mix))
        self.rows = []
        parts = [*mix.items(), *[(None, None)] * MOST_PARTS][:MOST_PARTS]
        for n, (material, amount) in enumerate(parts, start=1):
            self.fields[f"material_{n}"] = forms.ModelChoiceField(
                choices, required=False, initial=material, label=f"Material {n}", empty_label="none"
            )
            self.fields[f"figure_{n}"] = forms.DecimalField(
                required=False, max_value=100, decimal_places=decimals,
                initial=None if amount is None else plain(amount), label=f"{figure} {n}",
                validators=[MinValueValidator(Decimal(1).scaleb(-decimals))],
            )  # fmt: skip
            self.rows.append((self[f"material_{n}"], self[f"figure_{n}"]))

    def clean(self):
        given, parts = super().clean(), {}
        for n in range(1, MOST_PARTS + 1):
            material, figure = given.get(f"material_{n}"), given.get(f"figure_{n}")
            if material and figure is None and f"figure_{n}" not in self.errors:
                self.add_error(f"figure_{n}", "How much of it?")
            elif figure is not None and not material and f"material_{n}" not in self.errors:
                self.add_error(f"material_{n}", "Of which material?")
            elif material in parts:
                self.add_error(f"material_{n}", "It stands there twice.")
            elif material:
                parts[material] = figure
        given["parts"] = parts
        return given

    def see(self, mix: dict) -> None:
        """From now on this form stands against the mix as it is."""
        self.data = self.data.copy()
        self.data["seen"] = seen_of(mix)


class MaterialFilter(django_filters.FilterSet):
    """Narrows the materials."""

    q = django_filters.CharFilter(field_name="name", lookup_expr="icontains", label="Name")
    kind = django_filters.ChoiceFilter(choices=MATERIAL_KINDS, empty_label="all")
    supplier = django_filters.ModelChoiceFilter(queryset=Supplier.objects.all(), empty_label="anybody's")

    class Meta:
        model = Material
        fields = []


class PurchaseFilter(django_filters.FilterSet):
    """Narrows the orders. Without a word only what is under way is shown."""

    state = django_filters.ChoiceFilter(
        choices=[("all", "all ever"), *Purchase.STATES[1:]], label="Orders", empty_label="under way", method="standing"
    )
    supplier = django_filters.ModelChoiceFilter(queryset=Supplier.objects.all(), empty_label="anybody's")

    class Meta:
        model = Purchase
        fields = []

    def standing(self, rows, name, what):
        return rows

    @property
    def qs(self):
        what = self.form.cleaned_data.get("state") if self.is_bound and self.form.is_valid() else ""
        return super().qs if what == "all" else super().qs.filter(state=what or Purchase.UNDER_WAY)
