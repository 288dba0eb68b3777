"""The forms of order entry. Rows are not a formset: each is two fields and the line it was pasted from, in turn."""

from decimal import Decimal
from itertools import zip_longest

from django import forms
from django.core.exceptions import ValidationError

from inventory.models import FIRSTS, GRADES
from orders.domain.order_checks import check_order_discount, check_reference, check_ship_by
from orders.models import Address, Order, Shop
from orders.models.price import MOST_DISCOUNT
from orders.queries.entry import TypedRow

LONGEST_BLOCK = 200_000  # characters of a paste: thousands of lines, far above the rows an order takes


class StartForm(forms.Form):
    """Which shop, and the mark of this submission: sent twice, it makes one draft."""

    shop = forms.ModelChoiceField(Shop.objects.filter(active=True))
    submission = forms.UUIDField()
    grade = forms.ChoiceField(choices=GRADES, required=False)

    def clean_grade(self):
        return self.cleaned_data["grade"] or FIRSTS


class HeaderForm(forms.Form):
    """The draft's header. What is not right is told at its field and not kept; the rest is."""

    reference = forms.CharField(label="Their reference", max_length=40, required=False)
    ship_by = forms.DateField(
        label="Ship by", required=False, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    deliver_to = forms.ModelChoiceField(Address.objects.none(), label="Deliver to", required=False)
    notes = forms.CharField(label="Notes", max_length=500, required=False)
    order_discount = forms.DecimalField(
        label="Discount on this order (%)",
        required=False,
        min_value=0,
        max_value=MOST_DISCOUNT,
        max_digits=4,
        decimal_places=2,
        widget=forms.TextInput(attrs={"inputmode": "decimal"}),
    )
    order_discount_reason = forms.CharField(label="What the discount is for", max_length=80, required=False)

    def __init__(self, *args, order: Order, confirming: bool = False, **kwargs):
        self.order, self.confirming = order, confirming
        kept = {name: getattr(order, name) for name in self.base_fields}
        kept["order_discount"] = f"{order.order_discount.normalize():f}" if order.order_discount else ""
        super().__init__(*args, initial=kept, **kwargs)
        self.fields["deliver_to"].queryset = order.shop.addresses.filter(kind="delivery").order_by("-usual", "label")
        self.fields["reference"].required = False
        if order.shop.reference_required:
            self.fields["reference"].label = "Their reference (they need it)"

    def clean_reference(self):
        reference = self.cleaned_data["reference"]
        if self.confirming:
            _at_this_field(check_reference, reference, self.order.shop)
        return reference

    def clean_ship_by(self):
        ship_by = self.cleaned_data["ship_by"]
        if ship_by is not None:
            _at_this_field(check_ship_by, ship_by)
        return ship_by

    def clean_order_discount(self):
        return self.cleaned_data["order_discount"] or Decimal(0)

    def clean(self):
        given = super().clean()
        both = ("order_discount", "order_discount_reason")
        if all(name in given for name in both):
            try:
                check_order_discount(*(given[name] for name in both))
            except ValidationError as error:
                self.add_error(None, error)
        # One is kept only with the other: a discount without its reason, or the other way round, says nothing.
        if any(name in self.errors for name in both):
            given = {name: value for name, value in given.items() if name not in both}
        return given


class VersionForm(forms.Form):
    """Which version of the draft the page was made from; `over` and `merge` name the other hand's version, when that
    is knowingly written over or put together with one's own.
    """

    version = forms.IntegerField(min_value=1, max_value=2**31 - 1)
    over = forms.IntegerField(min_value=1, max_value=2**31 - 1, required=False)
    merge = forms.IntegerField(min_value=1, max_value=2**31 - 1, required=False)

    @property
    def base(self) -> int:
        """The version to write over; 0 where the form did not say."""
        if not self.is_valid():
            return 0
        return self.cleaned_data["over"] or self.cleaned_data["merge"] or self.cleaned_data["version"]


class PasteForm(forms.Form):
    paste = forms.CharField(
        label="Rows from a spreadsheet or an e-mail",
        max_length=LONGEST_BLOCK,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 6}),
        help_text="One row a line: code or name, and pairs or boxes, in either order.",
    )


def typed_rows(data) -> list[TypedRow]:
    """The rows of a submitted form, in their turn, with the act of a row's own button done: `pick` sets its candle
    ("3:IV250"), `strike` takes it out. NUL bytes, which no database keeps, are left out.
    """
    columns = ([value.replace("\x00", "") for value in data.getlist(name)] for name in ("code", "pairs", "line"))
    rows = [TypedRow(*values) for values in zip_longest(*columns, fillvalue="")]
    place, _, code = data.get("pick", "").partition(":")
    if (at := _place(place, rows)) is not None and code:
        rows[at] = TypedRow(code.replace("\x00", ""), rows[at].pairs)
    if (at := _place(data.get("strike", ""), rows)) is not None:
        del rows[at]
    return rows


def _place(text: str, rows: list) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 6 and int(text) < len(rows) else None


def _at_this_field(check, *values) -> None:
    """The domain's check, its messages without the field's name: a clean_<field> names the field by itself."""
    try:
        check(*values)
    except ValidationError as error:
        raise ValidationError(error.messages) from None
