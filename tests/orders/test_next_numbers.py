"""The next number of each series: raised, never lowered, never over a gap."""

import pytest
from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.domain.versions import fingerprint
from inventory.models import Workshop
from orders.domain import set_up
from orders.domain.papers import issue_paper
from orders.models import Series
from tests.factories import (
    make_order,
    make_person,
    make_shop,
)
from tests.inventory.workshop_record import told

pytestmark = pytest.mark.django_db
NUMBERS = "/set-up/numbers/"


@pytest.fixture
def owner(client_for):
    return client_for("owner")


def raise_to(client, name, number, **fields):
    series = Series.objects.get(name=name)
    seen = client.get(f"{NUMBERS}{series.pk}/").context["form"]["seen"].value()
    return client.post(f"{NUMBERS}{series.pk}/", {"number": number, "sure": "on", "seen": seen, **fields})


def test_numbers_are_raised_and_go_on_from_there(owner):
    assert raise_to(owner, "order", "5000").url == NUMBERS
    assert make_order().number == 5000
    assert raise_to(owner, "invoice", "3000").status_code == 302
    assert Series.objects.get(name="invoice").next == 3000
    assert told() == [
        "Next order number raised from 2001 to 5000",
        "Next invoice number raised from INV-1001 to INV-3000",
    ]
    assert "5000" in owner.get(NUMBERS).content.decode()


@pytest.mark.parametrize("number", ["", "2000", "0", "-1", "10000000", "1000000000000", "2001.5", "many", "2\0"])
def test_numbers_are_never_lowered_and_bad_ones_refused(owner, number):
    response = raise_to(owner, "order", number)
    assert response.status_code == 422
    assert list(response.context["form"].errors) == ["number"]
    assert Series.objects.get(name="order").next == 2001


def test_raising_wants_to_be_meant(owner):
    response = raise_to(owner, "order", "5000", sure="")
    assert list(response.context["form"].errors) == ["sure"]
    assert Series.objects.get(name="order").next == 2001


def test_never_below_what_was_given(owner):
    make_order(), make_order()
    assert raise_to(owner, "order", "2002").status_code == 422
    assert raise_to(owner, "order", "2003").status_code == 302
    assert told() == []


@pytest.mark.parametrize("kind", ["invoice", "delivery note"])
def test_numbers_that_run_without_a_gap_stay_once_the_first_was_given(owner, kind):
    issue_paper(kind=kind, shop=make_shop(), content={}, issued_on=timezone.localdate(), by=make_person(), series=kind)
    refused = raise_to(owner, kind, "2000")
    assert refused.status_code == 422
    assert "without a gap" in refused.content.decode()
    assert Series.objects.get(name=kind).next == 1002


def test_a_number_given_meanwhile_is_told(owner):
    series = Series.objects.get(name="order")
    seen = owner.get(f"{NUMBERS}{series.pk}/").context["form"]["seen"].value()
    make_order()
    told_stale = owner.post(f"{NUMBERS}{series.pk}/", {"number": "5000", "sure": "on", "seen": seen})
    assert told_stale.status_code == 422
    assert "Somebody changed this while you were typing" in told_stale.content.decode()
    assert "The next order has number 2002" in told_stale.content.decode()
    again = told_stale.context["form"]["seen"].value()
    assert owner.post(f"{NUMBERS}{series.pk}/", {"number": "5000", "sure": "on", "seen": again}).status_code == 302


def test_raising_twice_does_no_harm(owner):
    raise_to(owner, "order", "5000")
    raise_to(owner, "order", "5000")
    assert len(told()) == 1


def test_the_domain_refuses_what_the_form_would(owner):
    series = Series.objects.get(name="order")
    seen = fingerprint(series, ("next",))
    for number in (2000, set_up.MOST_NUMBER + 1):
        with pytest.raises(ValidationError):
            set_up.raise_next_number(series=series, number=number, seen=seen, by=owner.person)
    assert Workshop.objects.count() == 0
