"""A confirmed order changed from its page: pairs, candles, header, another colour, called off."""

from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.models import Record
from orders.models import Order, SetAside
from production.models import Want
from tests.factories import make_candle, make_colour, make_lot, make_shop
from tests.orders.order_pages import ABSURD, now, page, text
from tests.recount import recount

pytestmark = pytest.mark.django_db


def test_fewer_pairs_free_the_rest(packer, order):
    url, sent = page("order_change", order), {"pairs": 12, "version": now(order).version}
    assert packer.post(url, sent).url == page("order", order)
    line = order.lines.get()
    assert (line.pairs, line.set_aside, line.why) == (12, 12, "12 ordered now instead of 48")
    assert not Want.objects.exists()
    recount()


def test_the_second_to_change_is_told_and_sees_both(packer, order):
    url, version = page("order_change", order), now(order).version
    packer.post(url, {"pairs": 60, "version": version})
    response = packer.post(url, {"pairs": 40, "version": version})
    assert response.status_code == 422
    assert "in the book: 60; yours: 40" in text(response)
    assert order.lines.get().pairs == 60
    # The refused page carries the new version: sent again, it overwrites knowingly.
    assert packer.post(url, {"pairs": 40, "version": response.context["form"]["version"].value()}).status_code == 302
    assert order.lines.get().pairs == 40


@pytest.mark.parametrize("pairs", [*ABSURD, "100000"])
def test_absurd_pairs_are_not_ordered(packer, order, pairs):
    order.lines.update(price="99999.00")
    response = packer.post(page("order_change", order), {"pairs": pairs, "version": order.version})
    assert response.status_code == 422
    assert order.lines.get().pairs == 48
    recount()


def test_a_candle_is_added(packer, order):
    candle = make_candle(code="MO180", name="Moss dinner 180 x 20")
    url, sent = page("order_add", order), {"candle": "mo180", "pairs": 12, "version": now(order).version}
    assert packer.post(url, sent).url == page("order", order)
    assert packer.post(url, sent).status_code == 422
    line = order.lines.get(candle=candle)
    assert (line.pairs, line.price, line.want.pairs) == (12, candle.trade_price, 12)
    assert order.lines.count() == 2


@pytest.mark.parametrize("candle", ["", "\x00", "no such thing", "x" * 90, "dinner"])
def test_a_candle_not_understood_is_kept_with_the_nearest(packer, order, candle):
    make_candle(code="MO180", name="Moss dinner 180"), make_candle(code="PL180", name="Plum dinner 180")
    response = packer.post(page("order_add", order), {"candle": candle, "pairs": 7, "version": order.version})
    assert response.status_code == 422
    assert 'value="7"' in text(response)
    if candle == "dinner":
        assert "“dinner” fits more than one candle: MO180 Moss dinner 180, PL180 Plum dinner 180." in text(response)
    assert order.lines.count() == 1


def header(order, **changed) -> dict:
    order = now(order)
    kept = {"reference": order.reference, "ship_by": order.ship_by, "deliver_to": order.deliver_to_id, "notes": ""}
    return {**kept, "version": order.version, **changed}


def test_the_header_is_changed_and_the_wants_follow(packer, order):
    day = timezone.localdate() + timedelta(days=20)
    sent = header(order, reference="PO 7", ship_by=day, notes="Ring first")
    assert packer.post(page("order_header", order), sent).url == page("order", order)
    changed = now(order)
    assert (changed.reference, changed.ship_by, changed.notes) == ("PO 7", day, "Ring first")
    assert Want.objects.get().wanted_by == day
    stale = packer.post(page("order_header", order), {**sent, "reference": "PO 8"})
    assert stale.status_code == 422
    assert "in the book: PO 7; yours: PO 8" in text(stale)


@pytest.mark.parametrize(
    "wrong",
    [
        {"ship_by": ""},
        {"ship_by": "2001-01-01"},
        {"ship_by": "9999-12-31"},
        {"ship_by": "soon"},
        {"deliver_to": 0},
        {"deliver_to": 10**30},
        {"reference": "x" * 41},
        {"notes": "n" * 501},
        {"notes": "a\x00b"},
    ],
)
def test_a_wrong_header_is_refused_at_its_field(packer, order, wrong):
    before = Order.objects.filter(pk=order.pk).values().get()
    response = packer.post(page("order_header", order), header(order, **wrong))
    assert response.status_code == 422
    assert response.context["form"].errors.keys() == wrong.keys()
    assert Order.objects.filter(pk=order.pk).values().get() == before


def test_somebody_elses_address_is_refused(packer, order):
    theirs = make_shop().addresses.get()
    response = packer.post(page("order_header", order), header(order, deliver_to=theirs.pk))
    assert response.context["form"].errors.keys() == {"deliver_to"}


def test_an_order_is_called_off_once(packer, order):
    url, sent = page("order_cancel", order), {"reason": "shop shut", "version": now(order).version}
    assert packer.post(url, sent).url == page("order", order)
    assert now(order).status == "cancelled"
    assert packer.post(url, sent).status_code == 302
    assert Record.objects.filter(subject="order", subject_id=order.pk, what="Cancelled: shop shut").count() == 1
    assert not SetAside.objects.exists()
    assert not Want.objects.exists()
    recount()


@pytest.mark.parametrize("sent", [{}, {"reason": " "}, {"reason": "x" * 101}, {"reason": "\x00"}, {"version": 99}])
def test_an_order_is_not_called_off_without_a_reason_or_unseen(packer, order, sent):
    sent = {"reason": "shop shut" if "version" in sent else "", "version": now(order).version, **sent}
    assert packer.post(page("order_cancel", order), sent).status_code == 422
    assert now(order).status == "confirmed"


@pytest.fixture
def moss(order):
    """The same shape in another colour, 30 pairs of it free."""
    mine = order.lines.get().candle
    candle = make_candle(name="Moss taper 250", colour=make_colour(name="Moss"), wax=mine.wax)
    make_lot(candle, 30)
    return candle


def put(order, candle, **more) -> dict:
    return {"candle": candle.pk, "pairs": 12, "version": now(order).version, **more}


def test_what_is_free_in_another_colour_stands_beside_the_open_pairs(packer, order, moss):
    other_shape = make_candle(colour=moss.colour, length_mm=180)
    make_lot(other_shape, 40)
    html = text(packer.get(page("order", order)))
    assert "30 free in Moss" in html
    assert "put 12 on" in html
    assert "40 free" not in html


@pytest.mark.parametrize(
    ("takes", "words"), [("no", ""), ("ask", "ask first"), ("yes", "Another colour in this shape")]
)
def test_the_shop_says_whether_it_takes_another_colour(packer, order, moss, takes, words):
    order.shop.other_colour = takes
    order.shop.save()
    html = text(packer.get(page("order", order)))
    assert words in html
    assert ("30 free in Moss" in html) == (takes != "no")


def test_another_colour_is_put_on_and_the_original_lowered(packer, order, moss):
    sent = put(order, moss)
    assert packer.post(page("other_colour", order), sent).url == page("order", order)
    lines = {line.candle: line.pairs for line in order.lines.all()}
    assert lines == {order.lines.first().candle: 36, moss: 12}
    again = packer.post(reverse("other_colour", args=[order.lines.first().pk]), sent, follow=True)
    assert "Nothing was changed" in text(again)
    assert order.lines.count() == 2
    recount()


@pytest.mark.parametrize("pairs", [*ABSURD, "13"])
def test_absurd_pairs_of_another_colour_are_refused(packer, order, moss, pairs):
    response = packer.post(page("other_colour", order), put(order, moss, pairs=pairs), follow=True)
    assert "Nothing was changed" in text(response)
    assert order.lines.get().pairs == 48


def test_another_shape_or_an_unwilling_shop_is_refused(packer, order, moss):
    stub = make_candle(length_mm=100)
    assert "not the same shape" in text(packer.post(page("other_colour", order), put(order, stub), follow=True))
    assert packer.post(page("other_colour", order), {**put(order, moss), "candle": 10**9}).status_code == 404
    order.shop.other_colour = "no"
    order.shop.save()
    assert "takes no other colour" in text(packer.post(page("other_colour", order), put(order, moss), follow=True))
    assert order.lines.get().pairs == 48
