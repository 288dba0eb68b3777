"""Set-up: the Bank of England's base rate by day, which the interest on late payment rests on."""

from inventory.views.set_up_lists import SetUpList
from inventory.views.setup import how_many
from orders.forms.late import BaseRateForm
from orders.models import BaseRate
from orders.tables.late import BaseRateTable

BASE_RATES = SetUpList(
    list_name="base_rates",
    row_name="base_rate",
    title="Base rates",
    form=BaseRateForm,
    table=BaseRateTable,
    rows=BaseRate.objects.all,
    headline=how_many(
        "base rate",
        "base rates",
        "interest on late payment is 8 % over the one of the half-year.",
        "No base rate yet.",
    ),
    context="The rate of 30 June and of 31 December counts for debts that fall due in the six months after.",
)
