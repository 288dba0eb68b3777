"""Two people at once, by real processes on one SQLite file, as the embedded book is used."""

import pytest

from tests.races.processes import alone
from tests.races.processes import race as race_processes

pytestmark = pytest.mark.sqlite

SEED = """
from orders.domain.setting_aside import set_aside_order, sync_wants
from tests.factories import make_candle, make_lot, make_order, make_person
candle, by = make_candle(), make_person(username="ada")
make_lot(candle, 30), make_lot(candle, 20)
for _ in range(4):
    sync_wants(make_order(lines=[(candle, 24)], by=by))
"""
ACT = """
from config.models import Person
from django.core.exceptions import ValidationError
from orders.domain.changing import cancel_order
from orders.domain.numbers import take_number
from orders.domain.releasing import release_order
from orders.domain.setting_aside import set_aside_book, set_aside_order
from orders.models import Order
by, orders = Person.objects.get(username="ada"), list(Order.objects.order_by("number"))
"""
COUNT = """
from tests.recount import recount
from orders.models import OrderLine, Order
recount()
print(sum(OrderLine.objects.values_list("set_aside", flat=True)), Order.objects.filter(status="cancelled").count())
"""


def race(database, *codes: str) -> list[str]:
    return race_processes(database, *codes, before=ACT)


def test_four_processes_promise_no_more_than_there_is(file_sqlite):
    alone(file_sqlite, SEED)
    given = race(file_sqlite, *(f"print(set_aside_order(order=orders[{n}], by=by).pairs)" for n in range(4)))
    assert sorted(map(int, given)) == [0, 2, 24, 24]
    assert alone(file_sqlite, COUNT) == "50 0"


def test_the_book_is_set_aside_while_orders_are_called_off_and_released(file_sqlite):
    alone(file_sqlite, SEED + "from orders.models import Order; set_aside_order(order=Order.objects.first(), by=by)")
    race(
        file_sqlite,
        "print(set_aside_book(by=by).pairs)",
        "print(cancel_order(order=orders[0], version=orders[0].version, reason='shut', by=by).status)",
        "print(release_order(order=orders[3], by=by))",
        "print(set_aside_book(by=by).pairs)",
    )
    once_more = ACT + "set_aside_book(by=by)"
    assert alone(file_sqlite, COUNT + once_more + COUNT).split("\n")[-1] == "50 1"


def test_numbers_run_without_a_gap(file_sqlite):
    alone(file_sqlite, SEED)
    take = """
    from django.db import transaction
    for _ in range(5):
        with transaction.atomic():
            print(take_number("order")[0], end=" ")
    """
    numbers = sorted(int(number) for said in race(file_sqlite, take, take, take) for number in said.split())
    assert numbers == list(range(numbers[0], numbers[0] + 15))


def test_four_processes_promise_one_day_once(file_sqlite):
    alone(file_sqlite, SEED)
    code = """
from datetime import timedelta
from django.utils import timezone
from orders.domain.acknowledging import acknowledge_order
from orders.domain.promising import promise_date
row = promise_date(order=orders[0], day=timezone.localdate() + timedelta(days=4), by=by)
print(row.pk, acknowledge_order(order=orders[0], to="", by=by).number)
"""
    assert set(race(file_sqlite, *[code] * 4)) == {"1 OA-2001/1"}
    assert alone(file_sqlite, COUNT) == "0 0"
