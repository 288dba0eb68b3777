"""Price lists: begun as a copy, mended while unused, followed by a later one once orders were confirmed by them."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.models import Record
from orders.domain.ordering import confirm_order
from orders.models import OrderLine, PriceList
from tests.factories import make_candle, make_order, make_person, make_shop
from tests.factories.prices import make_group, make_price_list
from tests.orders.entry_forms import queries_of, text_of
from tests.orders.price_forms import NEW, TOMORROW, prices_of, sent
from tests.orders.test_ordering import draft_of

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def owner(client_for):
    return client_for("owner")


@pytest.fixture
def candle():
    return make_candle(code="IV250", name="Ivory taper 250", trade_price=D("2.20"), pairs_per_box=24)


def used(row, candle, pairs=24):
    """Confirm an order by the list."""
    by = make_person()
    order = confirm_order(order=draft_of([(candle, pairs)], by), version=2, by=by)
    assert order.lines.get().price_list == row
    return order


# --- a new list


def test_a_list_begins_as_a_copy_raised_and_rounded(owner, candle):
    make_candle(code="GONE", active=False)
    source = make_price_list([(candle, "2.20")], [(None, 4, "3"), (candle, 2, "1")], since=TOMORROW - timedelta(90))
    assert owner.get(reverse("price_list_new"), {"from": source.pk}).context["form"]["source"].value() == source.pk
    answer = owner.post(
        reverse("price_list_new"), {**NEW, "source": source.pk, "percent": "4", "step": "0.05"}, follow=True
    )
    row = PriceList.objects.get(name="Trade list 2027")
    assert prices_of(row) == {"IV250": D("2.30")}
    assert row.breaks.count() == 2
    assert f"Trade list 2027 begins on {TOMORROW.day} {TOMORROW:%B %Y} for everybody." in text_of(answer)
    assert Record.objects.filter(what__startswith="Price list Trade list 2027 begun").exists()


def test_without_a_list_it_begins_with_the_trade_prices(owner, candle):
    make_candle(code="GONE", active=False)
    owner.post(reverse("price_list_new"), {**NEW, "percent": "-10"})
    assert prices_of(PriceList.objects.get()) == {"IV250": D("1.98")}


def test_begun_twice_is_begun_once(owner, candle):
    owner.post(reverse("price_list_new"), NEW)
    answer = owner.post(reverse("price_list_new"), NEW)
    assert answer.status_code == 422
    assert answer.context["form"].errors == {"since": ["Trade list 2027 begins on that day already."]}
    assert PriceList.objects.count() == 1


@pytest.mark.parametrize("wanted", ["", "99", "x", "9" * 30, "²"])
def test_a_copy_of_no_list_is_no_error(owner, wanted):
    assert owner.get(reverse("price_list_new"), {"from": wanted}).status_code == 200


def test_a_list_begins_after_the_orders_it_would_have_priced(owner, candle):
    order = make_order(make_shop(), [(candle, 1)], placed_on=timezone.localdate())
    answer = owner.post(reverse("price_list_new"), {**NEW, "since": f"{order.placed_on}"})
    assert "were confirmed at the prices as they stood" in answer.context["form"].errors["since"][0]
    group = make_group(make_shop())
    # The group's shops have ordered nothing: for them the day is free.
    assert owner.post(reverse("price_list_new"), {**NEW, "since": f"{order.placed_on}", "group": group.pk}).url


# --- its page


def test_prices_and_breaks_are_mended_in_one_form(owner, candle):
    other = make_candle(code="RD250")
    row = make_price_list([(candle, "2.20")], [(None, 4, "3")], since=TOMORROW)
    form = sent(row, [(candle, "2.25"), (other, "")], [(None, "4", "3.5"), (candle, "2", "1"), (None, "", "")])
    for _ in range(2):  # pressed twice it does no harm
        assert (
            owner.post(row.get_absolute_url(), form | {"version": PriceList.objects.get().version}).status_code == 302
        )
    row.refresh_from_db()
    assert (prices_of(row), row.version) == ({"IV250": D("2.25")}, 2)
    assert set(row.breaks.values_list("candle__code", "boxes", "percent")) == {
        (None, 4, D("3.5")), ("IV250", 2, D("1")),
    }  # fmt: skip


def test_a_used_list_is_followed_by_a_new_one(owner, candle):
    row = make_price_list([(candle, "2.20")], name="Autumn", since=timezone.localdate())
    order = used(row, candle)
    page = text_of(owner.get(row.get_absolute_url()))
    assert "Orders up to" in page
    assert "Changed prices begin on" in page
    for since in ("", f"{order.placed_on}", "2020-01-01"):
        answer = owner.post(row.get_absolute_url(), sent(row, [(candle, "2.60")], since=since))
        assert answer.status_code == 422
        assert "Changed prices begin after" in answer.context["form"].errors["since"][0]
        assert 'value="2.60"' in answer.content.decode()
    form = sent(row, [(candle, "2.60")], since=f"{TOMORROW}", name="Winter")
    answer = owner.post(row.get_absolute_url(), form)
    new = PriceList.objects.get(name="Winter")
    assert answer.url == new.get_absolute_url()
    assert (prices_of(new), prices_of(row)) == ({"IV250": D("2.60")}, {"IV250": D("2.20")})
    # Name and note of a used list are mended in place, and the same form again begins no third list.
    owner.post(row.get_absolute_url(), sent(row, [(candle, "2.20")], note="Carriage paid.", since=""))
    row.refresh_from_db()
    assert (row.note, row.since, PriceList.objects.count()) == ("Carriage paid.", timezone.localdate(), 2)
    assert owner.post(row.get_absolute_url(), form | {"version": row.version}).status_code == 422
    assert PriceList.objects.count() == 2


def test_a_used_list_stays_and_an_unused_one_goes(owner, candle):
    row = make_price_list([(candle, "2.20")], since=timezone.localdate())
    draft = draft_of([(candle, 24)], make_person())
    spare = make_price_list([(candle, "2.40")], since=TOMORROW)
    assert owner.post(reverse("price_list_delete", args=[spare.pk])).url == reverse("price_lists")
    assert owner.post(reverse("price_list_delete", args=[spare.pk])).status_code == 404
    used(row, candle)
    answer = owner.post(reverse("price_list_delete", args=[row.pk]))
    assert answer.status_code == 422
    assert "so it stays" in answer.content.decode()
    assert list(PriceList.objects.all()) == [row]
    assert draft.lines.get().price_list == row


def test_a_list_only_drafts_go_by_can_be_deleted(owner, candle):
    row = make_price_list([(candle, "2.20")], since=timezone.localdate())
    draft_of([(candle, 24)], make_person())
    owner.post(reverse("price_list_delete", args=[row.pk]))
    assert OrderLine.objects.get().price_list is None


def test_the_second_of_two_is_told_sees_both_and_loses_nothing(owner, candle):
    row = make_price_list([(candle, "2.20")], since=TOMORROW)
    stale = sent(row, [(candle, "2.50")])
    owner.post(row.get_absolute_url(), sent(row, [(candle, "2.30")]))
    answer = owner.post(row.get_absolute_url(), stale)
    page = text_of(answer)
    assert answer.status_code == 422
    assert "2.30 in the book, 2.50 typed here" in page
    assert 'value="2.50"' in page
    assert prices_of(row) == {"IV250": D("2.30")}
    assert owner.post(row.get_absolute_url(), stale | {"version": "2"}).status_code == 302
    assert prices_of(row) == {"IV250": D("2.50")}


# --- the ladder, and the lists


def test_the_lists_page_says_who_pays_what_and_costs_the_same_for_thirty(owner, django_assert_num_queries):
    assert "Everybody pays the trade prices" in text_of(owner.get(reverse("price_lists")))
    row = make_price_list(name="Autumn", since=TOMORROW - timedelta(40))
    assert "Everybody pays by Autumn, in force since" in text_of(owner.get(reverse("price_lists")))
    one = queries_of(owner, reverse("price_lists"))
    of_list = queries_of(owner, row.get_absolute_url())
    for n in range(29):
        make_price_list([(make_candle(), "2")], since=TOMORROW + timedelta(n), group=make_group())
    with django_assert_num_queries(one):
        owner.get(reverse("price_lists"))
    with django_assert_num_queries(of_list):
        owner.get(row.get_absolute_url())


@pytest.mark.parametrize("role", ["packer", "dipper", "bookkeeper"])
def test_prices_are_the_owners_to_set(client_for, role):
    row, client = make_price_list(), client_for(role)
    for name, args in (("price_lists", []), ("price_list_new", []), ("price_list", [row.pk])):
        assert client.get(reverse(name, args=args)).status_code == 403
    assert client.post(reverse("price_list_delete", args=[row.pk])).status_code == 403
    assert PriceList.objects.count() == 1


def test_a_list_is_not_deleted_by_looking(owner):
    assert owner.get(reverse("price_list_delete", args=[make_price_list().pk])).status_code == 405
