"""Forms and filters of the shops' pages. `version` is the shop's, as it stood when the form was made."""

import django_filters
from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import RegexValidator
from django.db.models import Q

from orders.domain.shops import MONEY_FIELDS, SHOP_FIELDS, check_stop
from orders.models import Address, Contact, Shop

PRICE_FIELDS = (
    "group",
    "currency",
    "discount",
    "minimum_order",
    "carriage",
    "carriage_by",
    "carriage_kilos",
    "carriage_free_above",
)
HOW_SERVED = (
    "rank", "complete_only", "other_colour", "reference_required", "wants_seconds_list", "packer_notes",
)  # fmt: skip
COUNTRY = RegexValidator(r"^[A-Z]{2}$", "Two capital letters, as GB, IE or FR.")


class VersionForm(forms.ModelForm):
    version = forms.IntegerField(widget=forms.HiddenInput, min_value=1, max_value=2**31 - 1)

    @property
    def fields_typed(self) -> dict:
        """What was typed, without the version: ready for the domain."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


class MoneyForm(VersionForm):
    """The part of a shop the bookkeeper keeps."""

    class Meta:
        model = Shop
        fields = MONEY_FIELDS
        labels = {"stop_reason": "Why it is on stop"}

    def clean(self):
        super().clean()
        try:
            check_stop(
                on_stop=self.cleaned_data.get("on_stop", False), reason=self.cleaned_data.get("stop_reason", "")
            )
        except ValidationError as error:
            self.add_error(None, error)


class ShopForm(MoneyForm):
    GROUPS = (
        ("Who they are", ("name", "town", "vat_number", "active")),
        ("What they pay", PRICE_FIELDS),
        ("When they pay", MONEY_FIELDS),
        ("How they are served", HOW_SERVED),
    )

    @property
    def groups(self):
        """The fields under the headings of the page."""
        return [(heading, [self[name] for name in names]) for heading, names in self.GROUPS]

    class Meta:
        model = Shop
        fields = SHOP_FIELDS
        widgets = {"packer_notes": forms.Textarea(attrs={"rows": 2})}
        labels = {"active": "We serve this shop", "stop_reason": "Why it is on stop"}


class ShopNewForm(ShopForm):
    version = None


class AddressForm(VersionForm):
    country = forms.CharField(max_length=2, initial="GB", validators=[COUNTRY], help_text="Two letters, as GB or IE.")

    class Meta:
        model = Address
        fields = ("kind", "label", "lines", "town", "postcode", "country", "usual")
        widgets = {"lines": forms.Textarea(attrs={"rows": 3})}

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["country"].to_python = lambda value: str(value or "").strip().upper()
        if self.instance.pk:
            del self.fields["kind"]

    def validate_constraints(self):
        """Left to the domain: it unsets the old usual address in the same transaction."""


class ContactForm(VersionForm):
    class Meta:
        model = Contact
        fields = ("name", "does", "email", "telephone")


class ShopFilter(django_filters.FilterSet):
    """Search by any part of name, town, postcode or contact; every word typed has to occur."""

    q = django_filters.CharFilter(method="search", label="Search", max_length=80)
    stands = django_filters.ChoiceFilter(
        method="standing",
        label="Show",
        empty_label="shops we serve",
        choices=[("stop", "on stop"), ("complete", "complete deliveries only"), ("gone", "no longer served")],
    )

    class Meta:
        model = Shop
        fields: list[str] = []

    def filter_queryset(self, queryset):
        if self.form.cleaned_data.get("stands") != "gone":
            queryset = queryset.filter(active=True)
        return super().filter_queryset(queryset)

    def search(self, queryset, name, value):
        for word in value.split()[:8]:
            queryset = queryset.filter(
                Q(name__icontains=word)
                | Q(town__icontains=word)
                | Q(pk__in=Address.objects.filter(postcode__icontains=word).values("shop"))
                | Q(pk__in=Contact.objects.filter(name__icontains=word).values("shop"))
            )
        return queryset

    def standing(self, queryset, name, value):
        return queryset.filter(
            **{"stop": {"on_stop": True}, "complete": {"complete_only": True}}.get(value, {"active": False})
        )
