"""Price lists and seconds' prices: what cannot be is told at its field, and refused by the tables too."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from orders.domain.price_lists import copy_list
from orders.models import BoxBreak, ListPrice, PriceList, SecondsPrice
from tests.factories import make_candle, make_order, make_person, make_shop
from tests.factories.prices import make_group, make_price_list, make_seconds_price
from tests.orders.entry_forms import text_of
from tests.orders.price_forms import NEW, TOMORROW, prices_of, sent

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def owner(client_for):
    return client_for("owner")


@pytest.fixture
def candle():
    return make_candle(code="IV250", name="Ivory taper 250", trade_price=D("2.20"), pairs_per_box=24)


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "x" * 41}, "name"),
        ({"name": "x\x00"}, "name"),
        ({"since": ""}, "since"),
        ({"since": "soon"}, "since"),
        ({"since": "1999-12-31"}, "since"),
        ({"since": "2999-01-01"}, "since"),
        ({"group": "99"}, "group"),
        ({"currency": "XXX"}, "currency"),
        ({"source": "99"}, "source"),
        ({"percent": "ten"}, "percent"),
        ({"percent": "-91"}, "percent"),
        ({"percent": "1000000000"}, "percent"),
        ({"percent": "NaN"}, "percent"),
        ({"percent": "900"}, "percent"),
        ({"step": "1"}, "step"),
    ],
)
def test_bad_beginnings_are_told_at_their_field(owner, typed, field):
    make_candle(trade_price=D("200000"))
    answer = owner.post(reverse("price_list_new"), {**NEW, **typed})
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert not PriceList.objects.exists()


BAD_PRICES = ["0", "-1", "1000000", "1e9", "2.205", "NaN", "two", "9" * 60, "2\x00"]


@pytest.mark.parametrize("typed", BAD_PRICES)
def test_a_bad_price_is_told_beside_it_and_the_others_kept(owner, candle, typed):
    other = make_candle(code="RD250")
    row = make_price_list([(candle, "2.20")], since=TOMORROW)
    answer = owner.post(row.get_absolute_url(), sent(row, [(candle, typed), (other, "3.15")]))
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [f"price_{candle.pk}"]
    assert 'value="3.15"' in answer.content.decode()
    assert prices_of(row) == {"IV250": D("2.20")}


@pytest.mark.parametrize(
    ("fields", "field"),
    [
        ({"break_0_boxes": "0"}, "break_0_boxes"),
        ({"break_0_boxes": "1001"}, "break_0_boxes"),
        ({"break_0_boxes": "-3"}, "break_0_boxes"),
        ({"break_0_boxes": "1.5"}, "break_0_boxes"),
        ({"break_0_boxes": ""}, "break_0_boxes"),
        ({"break_0_percent": ""}, "break_0_percent"),
        ({"break_0_percent": "0"}, "break_0_percent"),
        ({"break_0_percent": "90.01"}, "break_0_percent"),
        ({"break_0_percent": "100"}, "break_0_percent"),
        ({"break_0_percent": "x"}, "break_0_percent"),
        ({"break_0_candle": "999999"}, "break_0_candle"),
        ({"version": ""}, "version"),
        ({"version": "9" * 30}, "version"),
        ({"name": ""}, "name"),
        ({"note": "x" * 201}, "note"),
        ({"since": ""}, "since"),
        ({"since": "2999-01-01"}, "since"),
    ],
)
def test_a_bad_break_or_head_is_told_at_its_field(owner, candle, fields, field):
    row = make_price_list([(candle, "2.20")], since=TOMORROW)
    answer = owner.post(row.get_absolute_url(), sent(row, [(candle, "2.20")], [(None, "4", "5")], **fields))
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert not BoxBreak.objects.exists()


def test_two_breaks_from_the_same_boxes_and_a_list_without_prices_are_refused(owner, candle):
    row = make_price_list([(candle, "2.20")], since=TOMORROW)
    answer = owner.post(row.get_absolute_url(), sent(row, [(candle, "2")], [(None, "4", "5"), (None, "4", "6")]))
    assert "Two breaks begin at the same number of boxes." in answer.content.decode()
    answer = owner.post(row.get_absolute_url(), sent(row, [(candle, "")]))
    assert "A list needs at least one price." in answer.content.decode()
    assert prices_of(row) == {"IV250": D("2.20")}


def test_a_break_of_a_candle_that_is_not_on_the_list_is_refused(owner, candle):
    other = make_candle(code="RD250")
    row = make_price_list([(candle, "2.20")], since=TOMORROW)
    answer = owner.post(row.get_absolute_url(), sent(row, [(candle, "2"), (other, "")], [(other, "4", "5")]))
    assert answer.context["form"].errors == {"break_0_candle": ["This candle has no price on the list."]}


def test_rows_of_breaks_beyond_reason_are_no_crash(owner, candle):
    row = make_price_list([(candle, "2.20")], since=TOMORROW)
    many = {"break_99_boxes": "1", "break_xx_boxes": "1", "break_9999_boxes": "1", "break_²_boxes": "1"}
    assert owner.post(row.get_absolute_url(), sent(row, [(candle, "2.20")], **many)).status_code == 302


@pytest.mark.parametrize(
    ("model", "fields"),
    [
        (ListPrice, {"price": 0}),
        (ListPrice, {"price": -1}),
        (BoxBreak, {"boxes": 0, "percent": 5}),
        (BoxBreak, {"boxes": 1, "percent": 91}),
        (BoxBreak, {"boxes": 4, "percent": 5}),  # there is one from four boxes already
    ],
)
def test_the_tables_refuse_what_no_list_can_say(candle, model, fields):
    row = make_price_list([(make_candle(), "2")], [(None, 4, "3")])
    extra = {"candle": candle} if model is ListPrice else {}
    with pytest.raises(IntegrityError), transaction.atomic():
        model.objects.create(list=row, **extra, **fields)


@pytest.mark.parametrize("grouped", [False, True])
def test_two_lists_of_one_day_are_refused_twice(candle, grouped):
    group = make_group() if grouped else None
    row = make_price_list([(candle, "2")], since=TOMORROW, group=group)
    with pytest.raises(IntegrityError), transaction.atomic():
        PriceList.objects.create(name="Other", since=TOMORROW, group=group)
    with pytest.raises(ValidationError) as refused:
        copy_list(source=row, name="Other", currency="GBP", group=group, since=TOMORROW, by=make_person())
    assert list(refused.value.message_dict) == ["since"]


# --- what seconds cost


SECONDS = {"currency": "GBP", "basis": "share", "value": "45", "since": f"{TOMORROW}"}


def test_what_seconds_cost_is_set_with_a_day(owner):
    page = owner.get(reverse("seconds_prices"))
    assert "A second costs 50 % of what its candle costs as a first" in text_of(page)
    assert owner.post(reverse("seconds_prices"), SECONDS).status_code == 302
    assert owner.post(reverse("seconds_prices"), SECONDS).status_code == 422
    assert SecondsPrice.objects.count() == 1


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"value": "0"}, "value"),
        ({"value": "-5"}, "value"),
        ({"value": "100.01"}, "value"),
        ({"value": "10000", "basis": "kilo"}, "value"),
        ({"value": "1000000000", "basis": "box"}, "value"),
        ({"basis": "pair"}, "basis"),
        ({"currency": "XXX"}, "currency"),
        ({"since": ""}, "since"),
        ({"since": "1999-01-01"}, "since"),
    ],
)
def test_a_bad_price_of_seconds_is_told_at_its_field(owner, typed, field):
    answer = owner.post(reverse("seconds_prices"), {**SECONDS, **typed})
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [field]
    assert not SecondsPrice.objects.exists()


def test_what_seconds_were_ordered_at_stays(owner, candle):
    row = make_seconds_price(since=timezone.localdate() - timedelta(30))
    make_order(make_shop(), [(candle, 1)], grade="seconds", placed_on=timezone.localdate())
    early = owner.post(reverse("seconds_prices"), {**SECONDS, "since": f"{timezone.localdate()}"})
    assert list(early.context["form"].errors) == ["since"]
    answer = owner.post(reverse("seconds_price_delete", args=[row.pk]))
    assert answer.status_code == 422
    assert "stays. Orders up to" in answer.content.decode()


@pytest.mark.parametrize("fields", [{"value": 0}, {"value": 101}, {"value": -1, "basis": "box"}])
def test_the_table_refuses_such_a_price_of_seconds(fields):
    with pytest.raises(IntegrityError), transaction.atomic():
        make_seconds_price(**fields)
