"""Set-up: what other currencies are worth in pounds, for the VAT in sterling on their invoices."""

from inventory.views.set_up_lists import SetUpList
from inventory.views.setup import how_many
from orders.domain import exchange_rates as domain
from orders.forms.exchange_rates import ExchangeRateForm
from orders.models import ExchangeRate
from orders.tables.setup import ExchangeRateTable

EXCHANGE_RATES = SetUpList(
    list_name="exchange_rates",
    row_name="exchange_rate",
    title="Exchange rates",
    form=ExchangeRateForm,
    table=ExchangeRateTable,
    rows=ExchangeRate.objects.all,
    headline=how_many(
        "exchange rate",
        "exchange rates",
        "an invoice takes the one in force at its tax point.",
        "No exchange rate yet: invoices are in pounds.",
    ),
    context="VAT is owed in sterling, whatever currency an invoice is in; the rate stays on the paper.",
    add=domain.add_exchange_rate,
    change=domain.change_exchange_rate,
    remove=domain.remove_exchange_rate,
)
