from django import forms

from orders.models.bags import MOST_BAGS


def bags_field() -> forms.IntegerField:
    return forms.IntegerField(
        label="Bags of firelighters",
        required=False,
        min_value=0,
        max_value=MOST_BAGS,
        widget=forms.TextInput(attrs={"inputmode": "numeric", "autocomplete": "off"}),
    )


class BagsForm(forms.Form):
    bags = bags_field()
