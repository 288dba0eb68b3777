"""Two at the bench at once: gapless notes, one note a delivery, and stock that leaves once.

Threads on PostgreSQL, where rows are locked; processes on a SQLite file, where one writes at a time.
"""

import json
import sqlite3
from contextlib import closing

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.models import Lot, Movement
from orders.audit import deliveries as delivery_audit
from orders.audit import papers as paper_audit
from orders.audit import promises as promise_audit
from orders.domain.packing import close_boxes, start_packing, unpack, van_left
from orders.domain.papers import paper_pdf
from orders.domain.releasing import release_order
from orders.models import Delivery, Paper, PaperCancellation, PaperFile
from tests.factories import make_person
from tests.factories.bench import make_packed, make_ready_order
from tests.races.processes import alone, race
from tests.races.threads import together

MANY = 6


@pytest.fixture
def packers():
    return [make_person("packer") for _ in range(MANY)]


def assert_sound():
    running = Paper.objects.filter(kind="delivery note").order_by("running").values_list("running", flat=True)
    assert list(running) == list(range(1001, 1001 + len(running)))
    assert [*delivery_audit.breaches(), *paper_audit.breaches(), *promise_audit.breaches()] == []


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_one_order_started_by_many_is_packed_by_one(packers):
    order = make_ready_order(packers[0])
    results = together(*(lambda by=by: start_packing(order=order, by=by) for by in packers))
    won = [result for result in results if isinstance(result, Delivery)]
    told = [result for result in results if isinstance(result, ValidationError)]
    assert (len(won), len(told)) == (1, MANY - 1), results
    assert all(f"{won[0].started_by} is packing order" in str(error) for error in told)
    assert_sound()


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_boxes_closed_at_once_number_without_a_gap(packers):
    open_now = [start_packing(order=make_ready_order(by), by=by) for by in packers]
    results = together(
        *(
            lambda d=d, by=by: close_boxes(delivery=d, version=1, by=by)
            for d, by in zip(open_now, packers, strict=True)
        )
    )
    assert all(isinstance(result, Delivery) for result in results), results
    assert {result.note.number for result in results} == {f"DN-{1001 + n}" for n in range(MANY)}
    assert_sound()


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_one_delivery_closed_by_many_has_one_note(packers):
    delivery = start_packing(order=make_ready_order(packers[0]), by=packers[0])
    results = together(*(lambda by=by: close_boxes(delivery=delivery, version=1, by=by) for by in packers))
    assert sum(isinstance(result, Delivery) for result in results) == 1, results
    assert sum(isinstance(result, ValidationError) for result in results) == MANY - 1, results
    assert Paper.objects.filter(kind="delivery note").count() == 1
    assert_sound()


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_the_van_and_the_unpacker_cannot_both_have_it(packers):
    delivery, by, on = make_packed(packers[0]), packers[0], timezone.localdate()
    results = together(
        lambda: van_left(delivery=delivery, version=2, on=on, by=by),
        lambda: unpack(delivery=delivery, version=2, reason="wrong boxes", by=by),
        lambda: van_left(delivery=delivery, version=2, on=on, by=by),
    )
    left = Delivery.objects.get().state == "left"
    assert Movement.objects.filter(kind="sent").count() == int(left)
    assert PaperCancellation.objects.exists() is not left
    assert any(isinstance(result, ValidationError) for result in results), results
    assert_sound()


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_packing_and_releasing_at_once_keep_every_pair_in_one_place(packers):
    order = make_ready_order(packers[0])
    together(lambda: start_packing(order=order, by=packers[0]), lambda: release_order(order=order, by=packers[1]))
    packed = sum(line.pairs for delivery in Delivery.objects.all() for line in delivery.lines.all())
    assert packed in (0, 30)
    assert Lot.objects.get().set_aside == packed
    assert_sound()


@pytest.mark.postgresql
@pytest.mark.django_db(transaction=True)
def test_a_paper_opened_by_many_at_once_is_stored_once(packers):
    note = make_packed(packers[0]).note
    results = together(*(lambda: paper_pdf(Paper.objects.get(pk=note.pk)) for _ in range(3)))
    assert all(isinstance(result, bytes) for result in results), results
    assert len(set(results)) == 1
    assert PaperFile.objects.count() == 1


SEED = """
from tests.factories import make_person
from tests.factories.bench import make_ready_order
from orders.domain.packing import start_packing
import json
packers = [make_person("packer") for _ in range(3)]
made = [start_packing(order=make_ready_order(packers[0]), by=packers[0]).pk for _ in range(4)]
print(json.dumps({"packers": [by.pk for by in packers], "deliveries": made}))
"""
BEFORE = """
from django.core.exceptions import ValidationError
from django.utils import timezone
from config.models import Person
from orders.domain.packing import close_boxes, van_left
from orders.models import Delivery
"""
CLOSE_AND_LEAVE = """
by = Person.objects.get(pk={by})
for pk in {deliveries}:
    delivery = Delivery.objects.get(pk=pk)
    try:
        print("closed", close_boxes(delivery=delivery, version=1, by=by).note.number)
    except ValidationError:
        print("told")
    van_left(delivery=delivery, version=2, on=timezone.localdate(), by=by)
"""


@pytest.mark.sqlite
def test_processes_on_one_sqlite_file_close_each_delivery_once_and_send_it_once(file_sqlite):
    book = json.loads(alone(file_sqlite, SEED))
    codes = [CLOSE_AND_LEAVE.format(by=by, deliveries=book["deliveries"]) for by in book["packers"]]
    said = [line for answer in race(file_sqlite, *codes, before=BEFORE) for line in answer.splitlines()]
    assert sorted(line for line in said if line != "told") == [f"closed DN-{n}" for n in range(1001, 1005)]
    assert said.count("told") == 8
    with closing(sqlite3.connect(file_sqlite.path)) as kept:
        assert kept.execute("SELECT next FROM orders_series WHERE name = 'delivery note'").fetchone() == (1005,)
        assert kept.execute("SELECT count(*), sum(pairs) FROM inventory_movement WHERE kind = 'sent'").fetchone() == (
            4,
            -120,
        )
