"""Three lots of seconds and a box of them. Imports wait for Django: a named folder's conftest is read before it."""

from decimal import Decimal

import pytest


@pytest.fixture
def by():
    from tests.factories import make_person

    return make_person()


@pytest.fixture
def lots():
    from tests.factories.seconds import make_three_lots

    return make_three_lots()


@pytest.fixture
def taper(lots):
    return lots[0].candle


@pytest.fixture
def box(lots, by):
    from tests.factories.seconds import make_seconds_box

    one, two, three = lots
    return make_seconds_box((one, 7), (two, 4), (three, 5), by=by, price=Decimal("10.00"))
