from decimal import Decimal

from django import forms
from django.core.validators import MinValueValidator

from inventory.forms.setup import SetUpForm
from orders.models import ExchangeRate
from orders.models.price import CURRENCIES, STERLING


class ExchangeRateForm(SetUpForm):
    currency = forms.ChoiceField(choices=[row for row in CURRENCIES if row[0] != STERLING])

    class Meta:
        model = ExchangeRate
        fields = ("currency", "sterling", "since")
        widgets = {"since": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}
        help_texts = {
            "sterling": "Pounds for one unit of it: 0.8567 where 1 EUR is 85.67 p.",
            "since": "The first day invoices use it.",
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["sterling"].validators.append(MinValueValidator(Decimal("0.000001")))
