"""Two shops after one box of seconds, and everything else that can meet it, by real processes on one SQLite file."""

import pytest

from tests.races.processes import alone, race

pytestmark = pytest.mark.sqlite

SEED = """
from tests.factories import make_person, make_shop
from tests.factories.seconds import make_seconds_box, make_three_lots
by, lots = make_person(username="ada"), make_three_lots()
make_seconds_box((lots[0], 7), (lots[2], 5), by=by)
[make_shop() for _ in range(4)]
"""
ACT = """
import uuid
from config.models import Person
from django.core.exceptions import ValidationError
from inventory.models import Lot
from orders.domain.ordering import Row, confirm_order
from orders.domain.seconds import sell_seconds
from orders.domain.seconds_boxes import make_up_box, open_box
from orders.models import BoxKind, SecondsBox, Shop
by, box, shops = Person.objects.get(username="ada"), SecondsBox.objects.get(), list(Shop.objects.all())
def tried(act):
    try:
        return act()
    except ValidationError as error:
        return " ".join(error.messages)
def sell(n):
    order = sell_seconds(shop=shops[n], submission=uuid.uuid4(), rows=[], boxes=[box.pk], by=by)
    return confirm_order(order=order, version=order.version, by=by).status
def make_up(pairs, key=uuid.uuid4()):
    kind, lot = BoxKind.objects.get(), Lot.objects.get(code="S2")
    contents = {lot.pk: pairs}
    return make_up_box(contents=contents, kind=kind, sold_by="count", weight_g=None, price=None, sure=True,
        submission=key, by=by).code
"""
COUNT = """
from tests.recount import recount
from orders.audit import breaches
from orders.models import Order, SecondsBox
recount()
print(list(breaches()), Order.objects.count(), sorted(SecondsBox.objects.values_list("state", flat=True)))
"""


def test_four_shops_after_one_box_and_one_has_it(file_sqlite):
    alone(file_sqlite, SEED)
    told = race(file_sqlite, *(f"print(tried(lambda: sell({n})))" for n in range(4)), before=ACT)
    assert told.count("confirmed") == 1
    assert sum("SB-101 is gone" in said for said in told) == 3
    assert alone(file_sqlite, COUNT) == "[] 1 ['sold']"


def test_a_box_is_sold_or_opened_never_both(file_sqlite):
    alone(file_sqlite, SEED)
    opens = "print(tried(lambda: open_box(box=box, version=box.version, by=by).state))"
    told = race(file_sqlite, "print(tried(lambda: sell(0)))", opens, before=ACT)
    assert sorted(said in ("confirmed", "opened") for said in told) == [False, True]
    assert alone(file_sqlite, COUNT).startswith("[]")


def test_the_last_pairs_go_into_one_box_and_the_same_form_makes_one(file_sqlite):
    alone(file_sqlite, SEED)
    told = race(file_sqlite, *["print(tried(lambda: make_up(6)))"] * 3, before=ACT)
    assert sorted(told) == ["None is free any more.", "None is free any more.", "SB-102"]
    assert alone(file_sqlite, COUNT) == "[] 0 ['on the shelf', 'on the shelf']"
