"""Set-up: from how many days on seconds are cheaper."""

from django.utils import timezone

from inventory.views.set_up_lists import SetUpList
from orders.domain import seconds_ages as domain
from orders.domain.pricing import seconds_rule
from orders.forms.agreed import SecondsAgeForm
from orders.models import SecondsAge
from orders.prices import STERLING, ages_in_words
from orders.tables.prices import SecondsAgeTable


def _headline(rows: list[SecondsAge]) -> str:
    said = ages_in_words(seconds_rule(timezone.localdate(), STERLING).ages).strip()
    return f"Older seconds are cheaper. {said}" if said else "Seconds cost the same however old they are."


SECONDS_AGES = SetUpList(
    list_name="seconds_ages",
    row_name="seconds_age",
    title="Steps of age",
    form=SecondsAgeForm,
    table=SecondsAgeTable,
    rows=SecondsAge.objects.all,
    headline=_headline,
    context="Counted from the day they were dipped. What orders were confirmed at stays; what is not sold by the last "
    "step is offered for remelt.",
    add=domain.add_age,
    change=domain.change_age,
)
