"""What the tests of an order's pages start from. Read before Django is set up, so the house is imported within."""

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.utils import timezone


@pytest.fixture
def packer(client_for):
    return client_for("packer")


@pytest.fixture
def order(packer):
    """Order of Ossel Gifts, due in a week: 48 pairs wanted, 36 of them set aside from lot R2417."""
    from orders.domain.setting_aside import set_aside_order
    from tests.factories import make_candle, make_lot, make_order, make_shop

    candle = make_candle()
    make_lot(candle, 36, code="R2417")
    day = timezone.localdate() + timedelta(days=7)
    order = make_order(lines=[(candle, 48)], ship_by=day, shop=make_shop(name="Ossel Gifts", other_colour="yes"))
    set_aside_order(order=order, by=packer.person)
    return order


@pytest.fixture
def ivory():
    from tests.factories import make_candle

    return make_candle(code="IV250", name="Ivory taper 250 x 22", trade_price=Decimal("2.20"))


@pytest.fixture
def red():
    from tests.factories import make_candle

    return make_candle(code="RD250", name="Winter red taper 250 x 22", trade_price=Decimal("2.40"))


@pytest.fixture
def draft(packer):
    """An order of The Lamp Room, begun by the packer and still without a row."""
    from orders.domain.ordering import start_draft
    from tests.factories import make_shop

    return start_draft(shop=make_shop(name="The Lamp Room"), submission=uuid.uuid4(), by=packer.person)


@pytest.fixture
def sound_deliveries(db):
    """Whatever the test did: afterwards the audit finds deliveries, promises and papers in order."""
    from orders.audit import deliveries, papers, promises

    yield
    assert [*deliveries.breaches(), *promises.breaches(), *papers.breaches()] == []
