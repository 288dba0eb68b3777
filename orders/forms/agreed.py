"""Forms of what is agreed with one shop, of shop groups and of what seconds cost."""

from django import forms
from django.utils import timezone

from inventory.forms.setup import SetUpForm
from inventory.models import Candle
from orders.models import AgreedPrice, SecondsAge, SecondsPrice, ShopGroup

DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class AgreedForm(SetUpForm):
    """A price agreed with one shop."""

    class Meta:
        model = AgreedPrice
        fields = ("price", "since", "until", "takes_discount")
        widgets = {"since": DAY, "until": DAY}
        help_texts = {
            "until": "Empty: until another price is agreed.",
            "takes_discount": "As a rule an agreed price is net: the discount is in it already.",
        }

    def clean(self):
        given = super().clean()
        since, until = given.get("since"), given.get("until")
        if since and until and until < since:
            self.add_error("until", "It ends before it begins.")
        return given


class AgreedNewForm(AgreedForm):
    candle = forms.ModelChoiceField(Candle.objects.filter(active=True).order_by("code"), label="Candle")
    field_order = ("candle",)

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.initial.setdefault("since", timezone.localdate())


class ShopGroupForm(SetUpForm):
    class Meta:
        model = ShopGroup
        fields = ("name", "note")
        help_texts = {"name": "Farm shops, churches, galleries: shops that can have a price list of their own."}


class SecondsPriceForm(SetUpForm):
    class Meta:
        model = SecondsPrice
        fields = ("currency", "basis", "value", "since")
        widgets = {"since": DAY}
        help_texts = {
            "value": "50 for half the firsts' price; or what a full box, or a kilo, costs.",
            "since": "A day after the last order of seconds.",
        }

    def clean(self):
        given = super().clean()
        if given.get("basis") == "share" and (given.get("value") or 0) > 100:
            self.add_error("value", "A share is at most 100 %.")
        return given


class SecondsAgeForm(SetUpForm):
    class Meta:
        model = SecondsAge
        fields = ("days", "percent")
        help_texts = {"percent": "Off what seconds cost by the rule; a later step takes off more."}
