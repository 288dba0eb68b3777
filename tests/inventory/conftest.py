"""What the tests of stock share."""

from datetime import timedelta

import pytest
from django.utils import timezone


@pytest.fixture
def by():
    """Who does it: an owner."""
    # Models load after the settings, which the tests choose later than this file is read.
    from tests.factories import make_person

    return make_person()


@pytest.fixture
def clock(monkeypatch):
    """`clock(minutes)` sets the hour: whatever happens next, happens that long after the sheet was made."""
    noon = timezone.now() - timedelta(hours=5)
    at = [noon]
    monkeypatch.setattr("django.utils.timezone.now", lambda: at[0])

    def set_to(minutes):
        at[0] = noon + timedelta(minutes=minutes)
        return at[0]

    return set_to
