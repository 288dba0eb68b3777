"""Pages of the test burns."""

import uuid

import pytest
from django.utils import timezone

from production.models import BurnCycle, BurnTest
from tests.factories import make_candle
from tests.factories.labels import burn, make_burn_test

pytestmark = pytest.mark.django_db
LIST = "/test-burns/"


@pytest.fixture
def dipper(client_for):
    return client_for("dipper")


def new(candle):
    return f"/candles/{candle.pk}/test-burn/"


def typed(**changes):
    day = timezone.localdate().isoformat()
    return {
        "mass_1": "64.3",
        "mass_2": "64.1",
        "mass_3": "64.5",
        "begun_on": day,
        "submission": uuid.uuid4(),
        **changes,
    }


def cycle_typed(**changes):
    return {
        "sample": "1", "burnt_on": timezone.localdate().isoformat(), "rest_min": "0", "minutes": "240",
        "mass_g": "40.3", "flame_mm": "38", "glow_s": "11.5", "soot_index": "", "note": "", "submission": uuid.uuid4(),
        **changes,
    }  # fmt: skip


def test_a_test_is_begun_and_burnt(dipper):
    candle = make_candle(name="Ivory taper")
    begun = dipper.post(new(candle), typed())
    test = BurnTest.objects.get()
    assert begun.url == test.get_absolute_url()
    assert "none has burnt yet" in dipper.get(begun.url).content.decode()
    assert dipper.post(begun.url, cycle_typed()).status_code == 302
    page = dipper.get(begun.url).content.decode()
    assert "Ivory taper burns 6.00 g an hour over 1 of 3 samples" in page
    assert "a test laboratory decide" in page
    assert "never leave a burning sample" in page


def test_the_sample_that_has_burnt_least_is_offered_next(dipper):
    test = make_burn_test()
    burn(test, 1, "40")
    form = dipper.get(test.get_absolute_url()).context["form"]
    assert (form["sample"].value(), form["rest_min"].value()) == (2, 0)


@pytest.mark.parametrize(
    ("field", "value"),
    [("mass_1", ""), ("mass_1", "0"), ("mass_2", "heavy"), ("mass_3", "20001"), ("begun_on", "tomorrow"),
     ("note", "x" * 201)],
)  # fmt: skip
def test_a_wrong_beginning_comes_back_filled(dipper, field, value):
    response = dipper.post(new(make_candle()), typed(**{field: value}))
    assert response.status_code == 422
    assert field in response.context["form"].errors
    assert response.context["form"][field].value() == value
    assert not BurnTest.objects.exists()


@pytest.mark.parametrize(
    ("field", "value"),
    [("sample", "4"), ("minutes", "0"), ("minutes", "1441"), ("mass_g", "64.3"), ("mass_g", "-1"), ("flame_mm", "501"),
     ("glow_s", ""), ("glow_s", "3601"), ("rest_min", "-1"), ("soot_index", "101"), ("burnt_on", "2099-01-01"),
     ("submission", "x")],
)  # fmt: skip
def test_a_wrong_cycle_comes_back_filled(dipper, field, value):
    test = make_burn_test()
    response = dipper.post(test.get_absolute_url(), cycle_typed(**{field: value}))
    assert response.status_code == 422
    assert field in response.context["form"].errors
    assert response.context["form"][field].value() == value
    assert not BurnCycle.objects.exists()


def test_a_cycle_is_taken_back_and_an_earlier_one_is_not(dipper):
    test = make_burn_test()
    first, last = burn(test, 1, "40"), burn(test, 1, "20")
    back = f"{test.get_absolute_url()}take-back/"
    page = dipper.get(test.get_absolute_url()).content.decode()
    assert f'name="cycle" value="{last.pk}"' in page
    assert f'name="cycle" value="{first.pk}"' not in page
    refused = dipper.post(back, {"cycle": first.pk})
    assert refused.status_code == 422
    assert "has burnt since" in refused.content.decode()
    assert dipper.post(back, {"cycle": last.pk}).status_code == 302
    assert dipper.post(back, {"cycle": last.pk}).status_code == 302
    assert dipper.get(back).status_code == 405
    assert BurnCycle.objects.get() == first


def test_the_list_asks_no_more_for_thirty_than_for_one(dipper, django_assert_num_queries):
    burn(make_burn_test(), 1, "40")
    with django_assert_num_queries(8):
        dipper.get(LIST)
    candle = make_candle()
    for _ in range(29):
        burn(make_burn_test(candle), 2, "40")
    with django_assert_num_queries(8):
        page = dipper.get(LIST)
    assert "30 test burns of 2 candles" in page.content.decode()
