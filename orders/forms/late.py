from django import forms

from inventory.forms.setup import SetUpForm
from orders.models import BaseRate


class BaseRateForm(SetUpForm):
    class Meta:
        model = BaseRate
        fields = ("percent", "since")
        labels = {"percent": "Base rate (%)"}
        widgets = {"since": forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")}
        help_texts = {"percent": "As the Bank of England sets it; its website has the list."}
