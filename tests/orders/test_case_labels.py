"""Numbers for cases: once each, never again to another box."""

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, transaction

from inventory.gs1 import is_checked
from inventory.queries.records import records_of
from orders.domain.case_labels import number_cases
from orders.domain.packing import start_packing, unpack
from orders.models import CaseLabel
from tests.factories import make_lot, make_workshop
from tests.factories.season import make_season

pytestmark = pytest.mark.django_db
PREFIX = "2900000"


@pytest.fixture
def season():
    found = make_season()
    make_workshop(gs1_prefix=PREFIX)
    return found


def test_each_box_gets_the_next_number_once(season):
    gone = number_cases(delivery=season.gone, by=season.by)
    waiting = number_cases(delivery=season.waiting, by=season.by)
    assert [label.serial for label in [*gone, *waiting]] == [0, 1]
    assert number_cases(delivery=season.waiting, by=season.by) == waiting
    assert all(is_checked(label.sscc) and label.sscc[1:8] == PREFIX for label in [*gone, *waiting])
    told = [record.what for record in records_of("delivery", season.waiting.pk)]
    assert told.count(f"1 case numbered: {waiting[0].sscc}") == 1


def test_an_unpacked_box_keeps_its_number_and_nobody_else_gets_it(season):
    first = number_cases(delivery=season.waiting, by=season.by)[0]
    unpack(delivery=season.waiting, version=season.waiting.version, by=season.by, reason="wrong shelf")
    with pytest.raises(ValidationError, match="close the boxes first"):
        number_cases(delivery=season.waiting, by=season.by)
    assert number_cases(delivery=season.gone, by=season.by)[0].serial == first.serial + 1
    assert CaseLabel.objects.filter(pk=first.pk, sscc=first.sscc).exists()


def test_open_boxes_get_no_number(season):
    make_lot(season.candle, 12, by=season.by)
    packing = start_packing(order=season.short, by=season.by)
    with pytest.raises(ValidationError, match="close the boxes first"):
        number_cases(delivery=packing, by=season.by)


def test_without_a_prefix_there_are_no_numbers(season):
    make_workshop(gs1_prefix="")
    assert number_cases(delivery=season.waiting, by=season.by) == []
    assert not CaseLabel.objects.exists()


def test_a_new_prefix_goes_on_with_numbers_of_its_own(season):
    first = number_cases(delivery=season.gone, by=season.by)[0]
    make_workshop(gs1_prefix="290000000001")
    second = number_cases(delivery=season.waiting, by=season.by)[0]
    assert (first.sscc[1:8], second.sscc[1:13]) == (PREFIX, "290000000001")
    assert second.serial == first.serial + 1


def test_used_up_numbers_are_said_and_none_is_given(season):
    make_workshop(gs1_prefix="290000000001")
    label = number_cases(delivery=season.gone, by=season.by)[0]
    CaseLabel.objects.bulk_create(
        [CaseLabel(box=season.waiting.boxes.get(), serial=99_999, sscc="x", made_at=label.made_at, made_by=season.by)]
    )
    season.waiting.boxes.create(number=2, kind=season.waiting.boxes.get().kind)
    with pytest.raises(ValidationError, match="All 100,000 numbers"):
        number_cases(delivery=season.waiting, by=season.by)
    assert CaseLabel.objects.count() == 2


@pytest.mark.parametrize("act", [lambda rows: rows.update(sscc="1"), lambda rows: rows.delete()])
def test_a_number_once_given_never_changes(season, act):
    number_cases(delivery=season.waiting, by=season.by)
    with pytest.raises(DatabaseError, match="append-only"), transaction.atomic():
        act(CaseLabel.objects.all())
