"""The seconds shelf's form: a shop, and pairs beside the candles wanted."""

from django import forms

from orders.domain.ordering import Row
from orders.models import MOST_PAIRS, Shop
from orders.queries.seconds import ShelfRow
from orders.reading.tokens import read_quantity


class SellForm(forms.Form):
    shop = forms.ModelChoiceField(
        Shop.objects.filter(active=True).order_by("name"),
        empty_label="Choose the shop",
        error_messages={"required": "Who buys them? Choose the shop.", "invalid_choice": "Choose a shop of the list."},
    )
    submission = forms.UUIDField(widget=forms.HiddenInput)


def chosen_rows(rows: list[ShelfRow], data) -> list[Row]:
    """The candles with pairs typed beside them; what cannot be read is told at its row, which keeps what was typed."""
    chosen = []
    for row in rows:
        row.typed = data.get(f"pairs-{row.candle.pk}", "").replace("\x00", "").strip()
        if not row.typed:
            continue
        amount = read_quantity(row.typed)
        if amount is None or amount[1] != "pairs" or not 0 < amount[0] <= MOST_PAIRS:
            row.error = f"A whole number of pairs, 1 to {row.free}."
        else:
            chosen.append(Row(row.candle, amount[0]))
    return chosen
