"""What was ordered on the page of what to buy: keys of materials, and for each what the page said of it."""

from django import forms
from django.core.exceptions import ValidationError

from inventory.models import Material

MOST = 2**62


class OrderForm(forms.Form):
    """`order`: the keys of the materials, parted by spaces; `amount_<key>` and `seen_<key>` in the material's unit."""

    submission = forms.UUIDField(widget=forms.HiddenInput)
    order = forms.RegexField(r"^[0-9]{1,9}( [0-9]{1,9})*$", error_messages={"invalid": "Choose what to order."})

    @property
    def chosen(self) -> list[int]:
        return sorted({int(key) for key in self.cleaned_data["order"].split()})

    def amount_of(self, pk: int) -> int:
        return self._figure("amount", pk)

    def seen_of(self, pk: int) -> int:
        return self._figure("seen", pk)

    def _figure(self, name: str, pk: int) -> int:
        """ValidationError where the page was not whole when it was sent."""
        text = self.data.get(f"{name}_{pk}", "")
        if not (text.isascii() and text.isdecimal() and int(text[:20]) < MOST):
            raise ValidationError("The page was not whole when it was sent: nothing was ordered. Order once more.")
        return int(text)

    def clean_order(self):
        order = self.cleaned_data["order"]
        keys = {int(key) for key in order.split()}
        if Material.objects.filter(pk__in=keys).count() != len(keys):
            raise ValidationError("One of these materials is gone: look at the page again.")
        return order
