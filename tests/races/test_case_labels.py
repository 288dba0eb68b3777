"""Cases numbered at once: every box its own number, and none twice."""

from functools import partial

import pytest

from orders.domain.case_labels import number_cases
from orders.models import CaseLabel
from tests.factories import make_workshop
from tests.factories.season import make_season
from tests.races.threads import together

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]


def test_two_deliveries_numbered_at_once_share_no_number():
    season = make_season()
    make_workshop(gs1_prefix="2900000")
    acts = [partial(number_cases, delivery=each, by=season.by) for each in (season.gone, season.waiting)] * 2
    results = together(*acts)
    assert not [each for each in results if isinstance(each, Exception)]
    assert sorted(CaseLabel.objects.values_list("serial", flat=True)) == [0, 1]
    # Whoever asked for the same delivery was told the same numbers.
    assert results[0] == results[2]
    assert results[1] == results[3]
