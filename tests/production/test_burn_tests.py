"""Test burns in the book: begun once, burnt cycle by cycle, the last one taken back, and what labels reckon with."""

from datetime import timedelta
from decimal import Decimal
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.queries.records import records_of
from production.domain.burn_tests import add_cycle, begin_test, take_back_cycle
from production.models import BurnCycle, BurnSample, BurnTest
from production.queries.burning import burn_rate_of, measured_rates
from tests.factories import make_candle, make_lot, make_person
from tests.factories.labels import burn, make_burn_test

pytestmark = pytest.mark.django_db


def told(test):
    return [each.what for each in records_of("test burn", test.pk)]


def test_a_test_begins_with_three_samples_and_the_wick_and_wax_of_the_day():
    candle = make_candle(wick="flat 24 ply")
    test = make_burn_test(candle, lot=make_lot(candle))
    assert [sample.mass_g for sample in test.samples.all()] == [Decimal("64.3"), Decimal("64.1"), Decimal("64.5")]
    assert (test.wick, test.wax) == ("flat 24 ply", candle.wax.name)
    assert told(test) == ["Begun with samples of 64.3, 64.1, 64.5 g"]


def test_begun_twice_by_one_form_it_is_one():
    candle, by, once = make_candle(), make_person("dipper"), uuid4()
    asked = {"masses": [Decimal(60)] * 3, "begun_on": timezone.localdate(), "submission": once, "by": by}
    assert begin_test(candle=candle, **asked) == begin_test(candle=candle, **asked)
    assert BurnTest.objects.count() == 1


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        (lambda: {"masses": [Decimal(60)] * 2}, "__all__"),
        (lambda: {"masses": [Decimal(60), Decimal(60), Decimal(0)]}, "mass_g"),
        (lambda: {"begun_on": timezone.localdate() + timedelta(days=1)}, "begun_on"),
        (lambda: {"lot": make_lot(make_candle())}, "lot"),
    ],
)
def test_a_test_that_cannot_be_is_refused_whole(changed, field):
    asked = {
        "candle": make_candle(),
        "masses": [Decimal(60)] * 3,
        "begun_on": timezone.localdate(),
        "submission": uuid4(),
        "by": make_person("dipper"),
        **changed(),
    }
    with pytest.raises(ValidationError) as refused:
        begin_test(**asked)
    if field != "__all__":
        assert field in refused.value.message_dict
    assert not BurnTest.objects.exists()
    assert not BurnSample.objects.exists()


def test_cycles_run_on_within_their_sample_and_are_on_record():
    test = make_burn_test()
    assert [burn(test, 1, "40").number, burn(test, 1, "20").number, burn(test, 2, "41").number] == [1, 2, 1]
    assert told(test)[0] == "Cycle 1 of sample 2: 240 min to 41 g"


def test_a_cycle_sent_twice_is_one():
    test, once = make_burn_test(), uuid4()
    first = burn(test, 1, "40")
    again = add_cycle(test=test, sample=1, values={}, submission=first.submission, by=make_person("dipper"))
    assert again == first
    assert BurnCycle.objects.count() == 1
    assert once != first.submission


@pytest.mark.parametrize(
    ("sample", "values", "field"),
    [
        (1, {"mass_g": "64.3"}, "mass_g"),
        (1, {"mass_g": "70"}, "mass_g"),
        (4, {"mass_g": "40"}, "sample"),
        (1, {"mass_g": "40", "minutes": 0}, "minutes"),
        (1, {"mass_g": "40", "burnt_on": timezone.localdate() + timedelta(days=2)}, "burnt_on"),
        (1, {"mass_g": "40", "burnt_on": timezone.localdate() - timedelta(days=11)}, "burnt_on"),
    ],
)
def test_a_cycle_that_cannot_be_is_refused_at_its_field(sample, values, field):
    test = make_burn_test()
    with pytest.raises(ValidationError) as refused:
        burn(test, sample, values.pop("mass_g"), **values)
    assert field in refused.value.message_dict
    assert not BurnCycle.objects.exists()


def test_only_the_last_cycle_of_a_sample_is_taken_back():
    test, by = make_burn_test(), make_person("dipper")
    first, second = burn(test, 1, "40"), burn(test, 1, "20")
    with pytest.raises(ValidationError, match="has burnt since"):
        take_back_cycle(test=test, cycle=first.pk, by=by)
    take_back_cycle(test=test, cycle=second.pk, by=by)
    take_back_cycle(test=test, cycle=second.pk, by=by)
    assert list(BurnCycle.objects.all()) == [first]
    assert told(test)[0] == "Cycle 2 of sample 1 taken back: 240 min to 20 g"


def test_the_table_refuses_what_no_form_would_send():
    test = make_burn_test()
    cycle = burn(test, 1, "40")
    twin = {"sample": cycle.sample, "minutes": 10, "mass_g": 1, "flame_mm": 1, "glow_s": 1, "submission": uuid4()}
    common = {"burnt_on": timezone.localdate(), "person": cycle.person}
    for wrong in ({"number": 1}, {"number": 2, "minutes": 0}, {"number": 2, "mass_g": -1}):
        with pytest.raises(IntegrityError), transaction.atomic():
            BurnCycle.objects.create(**{**twin, **common, **wrong})
    with pytest.raises(IntegrityError), transaction.atomic():
        BurnSample.objects.create(test=test, number=4, mass_g=1)


def test_labels_reckon_with_the_tests_of_this_wick_and_wax_alone():
    candle = make_candle(wick="flat 24 ply")
    burn(make_burn_test(candle), 1, "40.3")
    assert measured_rates(candle) == [Decimal("6.00")]
    assert burn_rate_of(candle).on_label == "6 g an hour, mean of 1 sample"
    candle.wick = "flat 30 ply"
    assert measured_rates(candle) == []
    candle.burn_g_hour = Decimal("7.25")
    assert burn_rate_of(candle).on_label == "7.25 g an hour, our own figure"
