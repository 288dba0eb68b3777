"""The pages of the seconds shelf: lot by lot, a box's own, what goes to the remelt, and the steps of age."""

import uuid
from datetime import timedelta
from decimal import Decimal
from html import unescape
from io import BytesIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from inventory.domain.versions import fingerprint
from inventory.models import Lot
from orders.audit import breaches
from orders.domain.ordering import confirm_order
from orders.domain.seconds import sell_seconds
from orders.models import BoxKind, Order, SecondsAge, SecondsBox
from tests.factories import make_candle, make_lot, make_person, make_shop
from tests.factories.seconds import make_age, make_seconds_box, make_seconds_lot, make_three_lots

pytestmark = pytest.mark.django_db


@pytest.fixture
def client(client_for):
    return client_for("packer")


@pytest.fixture
def lots():
    return make_three_lots()


def text_of(response) -> str:
    return " ".join(unescape(response.content.decode()).split())


def typed(*pairs, **fields) -> dict:
    """The form of a box: pairs as (lot, what was typed)."""
    start = {"submission": uuid.uuid4(), "kind": BoxKind.objects.get(standard=True).pk, "sold_by": "count"}
    return {**start, **{f"pairs-{lot.pk}": text for lot, text in pairs}, **fields}


def sold(box, by, shop=None) -> Order:
    return sell_seconds(shop=shop or make_shop(), submission=uuid.uuid4(), rows=[], boxes=[box.pk], by=by)


# --- lot by lot


def test_the_shelf_lot_by_lot_is_narrowed_and_sorted(client, lots):
    make_age(15, 20)
    page = text_of(client.get(reverse("seconds_lots")))
    assert "20 pairs of seconds lie free in 3 lots: which go into a box?" in page
    assert "0.90<br><small>20 % off</small>" in page
    for asked, codes in (({"fault": "ripples"}, ["S2"]), ({"days": "15"}, ["S1"]), ({"q": "wee1"}, ["S3"])):
        page = text_of(client.get(reverse("seconds_lots"), asked))
        assert [code for code in ("S1", "S2", "S3") if f">{code}<" in page] == codes
    page = text_of(client.get(reverse("seconds_lots"), {"sort": "-days"}))
    assert page.index(">S1<") < page.index(">S2<")
    assert "No seconds lie free that fit" in text_of(client.get(reverse("seconds_lots"), {"q": "nothing"}))


def test_the_shelf_comes_as_csv(client, lots):
    rows = client.get(reverse("seconds_lots_csv")).content.decode("utf-8-sig").splitlines()
    assert rows[0] == "Candle,Fault,Lot,Dipped,Days old,Free pairs,Price a pair"
    assert rows[1].endswith(",20,9,1.13")


def test_pairs_of_three_lots_are_made_up_into_a_box_by_weight(client, lots):
    weight = round(sum(pairs * lot.candle.grams_a_pair for lot, pairs in zip(lots, (7, 4, 5), strict=True)))
    pairs = zip(lots, "745", strict=True)
    data = typed(*pairs, sold_by="weight", weight=f"{weight / 1000}", kilo="6.50")
    answers = {client.post(reverse("seconds_lots"), data).url for _ in range(2)}
    box = SecondsBox.objects.get()
    assert answers == {box.get_absolute_url()}
    assert (box.weight_g, box.price) == (weight, (weight * Decimal("6.50") / 1000).quantize(Decimal("0.01")))
    page = text_of(client.get(box.get_absolute_url()))
    assert "SB-101 stands on the shelf and costs" in page
    assert "7 bent, 5 drip tail, 4 ripples" in page


@pytest.mark.parametrize(
    ("pairs", "fields", "words"),
    [
        ("10", {}, "Only 9 are free."),
        ("half", {}, "A whole number of pairs, 1 to 9."),
        ("-1", {}, "A whole number of pairs, 1 to 9."),
        ("", {}, "Type the pairs of at least one lot."),
        ("5", {"sold_by": "weight"}, "What do the scales say?"),
        ("5", {"weight": "9.999"}, "tick that the scales are right"),
        ("5", {"weight": "a lot"}, "Enter a number."),
        ("5", {"weight": "1e99"}, "Ensure"),
        ("5", {"price": "0.01"}, "At least 0.05: a penny a pair."),
        ("5", {"price": "3", "kilo": "4"}, "The price of the box or of a kilo, not both."),
        ("5", {"kind": "999"}, "Select a valid choice"),
        ("5", {"submission": "x"}, "No box was made up."),
    ],
)
def test_a_box_that_cannot_be_is_told_and_what_was_typed_stays(client, lots, pairs, fields, words):
    response = client.post(reverse("seconds_lots"), typed((lots[0], pairs), **fields))
    page = text_of(response)
    assert response.status_code == 422
    assert words in page
    assert f'value="{pairs}"' in page or not pairs
    assert all(f'value="{text}"' in page for name, text in fields.items() if name in ("weight", "price", "kilo"))
    assert not SecondsBox.objects.exists()
    assert Lot.objects.get(pk=lots[0].pk).free == 9


# --- a box


def test_a_boxs_label_says_what_it_is(client, lots):
    box = make_seconds_box((lots[0], 4), (lots[2], 5), weight_g=900)
    answer = client.get(reverse("seconds_box_label", args=[box.pk]))
    (sheet,) = PdfReader(BytesIO(answer.content)).pages
    printed = " ".join(sheet.extract_text().split())
    for words in ("Seconds", "SB-101", "9 pairs, 0.900 kg net", "bent", "drip tail", "S1", "S3", "Tallow Lane"):
        assert words in printed
    # A6 in points.
    assert (round(sheet.mediabox.width), round(sheet.mediabox.height)) == (298, 420)


def test_a_box_is_priced_and_opened_on_its_page(client, lots):
    box = make_seconds_box((lots[0], 4))
    data = {"version": box.version, "price": "7.50"}
    assert "SB-101 costs 7.50." in text_of(client.post(reverse("seconds_box_price", args=[box.pk]), data, follow=True))
    stale = client.post(reverse("seconds_box_price", args=[box.pk]), {**data, "price": "8"})
    assert (stale.status_code, "Somebody changed this" in text_of(stale)) == (422, True)
    assert 'value="8"' in text_of(stale)
    box.refresh_from_db()
    opened = client.post(reverse("seconds_box_open", args=[box.pk]), {"version": box.version}, follow=True)
    assert "4 pairs lie free on the shelf again." in text_of(opened)
    again = client.post(reverse("seconds_box_price", args=[box.pk]), {"version": box.version + 1, "price": "8"})
    assert (again.status_code, "SB-101 was opened again" in text_of(again)) == (422, True)


def test_a_box_is_sold_shown_in_the_draft_and_taken_off_again(client, lots):
    box, shop = make_seconds_box((lots[0], 4), (lots[2], 5), price=Decimal(9)), make_shop(name="Salt and Ember")
    data = {"shop": shop.pk, "submission": uuid.uuid4(), "box": box.pk}
    draft = text_of(client.post(reverse("seconds_sell"), data, follow=True))
    assert "Seconds order for Salt and Ember, Orrin Bay: 1 box of 9 pairs." in draft
    assert "Confirm 9 pairs" in draft
    assert "Goods 9.00" in draft
    shelf = text_of(client.get(reverse("seconds_shelf")))
    assert "Off the shelf, in drafts not yet confirmed: <a" in shelf
    other = client.post(reverse("seconds_sell"), {**data, "submission": uuid.uuid4(), "shop": make_shop().pk})
    assert (other.status_code, "SB-101 is gone: Salt and Ember took it" in text_of(other)) == (422, True)
    box.refresh_from_db()
    off = client.post(reverse("seconds_box_off", args=[box.pk]), {"version": box.version}, follow=True)
    assert "stands on the shelf again." in text_of(off)
    assert not Order.objects.get().lines.exists()
    assert client.post(reverse("seconds_box_off", args=[box.pk]), {"version": 9}).status_code == 422


def test_a_confirmed_orders_page_leads_to_its_box_and_nothing_is_changed_singly(client, lots):
    box = make_seconds_box((lots[0], 4))
    order = sold(box, client.person)
    order = confirm_order(order=order, version=order.version, by=client.person)
    page = text_of(client.get(order.get_absolute_url()))
    assert "To box SB-101" in page
    assert "Change pairs" not in page
    assert "Release<" not in page
    assert "Release what is set aside" not in page
    line = order.lines.first()
    refused = client.post(reverse("order_change", args=[line.pk]), {"pairs": "1", "version": order.version})
    assert (refused.status_code, "These pairs lie in box SB-101" in text_of(refused)) == (422, True)


def test_boxes_stay_in_the_book(client, lots):
    make_seconds_box((lots[0], 4))
    sold(make_seconds_box((lots[1], 2)), client.person)
    page = text_of(client.get(reverse("seconds_boxes")))
    assert "1 box of seconds stands on the shelf; 1 sold, 0 opened again." in page


def test_who_holds_a_lot_names_the_boxes_it_lies_in(client, lots):
    box = make_seconds_box((lots[0], 4))
    page = text_of(client.get(reverse("lot_holders", args=[lots[0].pk])))
    assert "4 of the 9 pairs of S1 lie in 1 box of seconds." in page
    sold(box, client.person, make_shop(name="Salt and Ember"))
    page = text_of(client.get(reverse("lot_holders", args=[lots[0].pk])))
    assert "in a draft for Salt and Ember." in page


# --- the remelt


def test_what_is_old_goes_to_the_remelt_by_weight_once(client, lots):
    lot = lots[0]
    before = (timezone.localdate() - timedelta(days=15)).isoformat()
    address = f"{reverse('seconds_remelt')}?before={before}"
    page = text_of(client.get(address))
    grams = (9 * lot.candle.grams_a_pair / 1000).quantize(Decimal("0.001"))
    assert f"lie free in 1 lot: {grams} kg of wax" in page
    data = {"submission": uuid.uuid4(), "reason": "too old", "lot": f"{lot.pk}-9"}
    for _ in range(2):
        assert "9 pairs went to the remelt" in text_of(client.post(address, data, follow=True))
    lot.refresh_from_db()
    assert (lot.on_hand, lot.movements.filter(kind="remelted").count()) == (0, 1)
    assert list(breaches()) == []


@pytest.mark.parametrize("choice", ["", "x", "9-9-9", "999999999-1", "0-0"])
def test_nothing_goes_to_the_remelt_unseen(client, lots, choice):
    data = {"submission": uuid.uuid4(), "reason": "old", "lot": choice}
    assert client.post(reverse("seconds_remelt"), data).status_code == 422
    make_seconds_box((lots[0], 4))
    data["lot"] = f"{lots[0].pk}-9"
    address = f"{reverse('seconds_remelt')}?before={timezone.localdate().isoformat()}"
    refused = client.post(address, data)
    assert (refused.status_code, "Only 5 are free." in text_of(refused)) == (422, True)
    firsts = make_lot(lots[0].candle, 5)
    assert client.post(address, {**data, "lot": f"{firsts.pk}-5"}).status_code == 422
    assert client.post(address, {**data, "lot": f"{lots[0].pk}-5", "reason": ""}).status_code == 422


def test_boxes_with_old_seconds_are_named_and_the_last_step_says_what_is_old(client, lots):
    make_age(15, 20)
    make_seconds_box((lots[0], 4))
    page = text_of(client.get(reverse("seconds_remelt")))
    assert "5 pairs of seconds dipped before" in page
    assert "SB-101</a>, oldest 20 days." in page
    assert client.get(reverse("seconds_remelt"), {"before": "never"}).status_code == 200


# --- steps of age


def test_steps_of_age_fall_with_age(client_for):
    client = client_for("owner")
    for days, percent in (("30", "10"), ("60", "20")):
        assert client.post(reverse("seconds_ages"), {"days": days, "percent": percent}).status_code == 302
    for days, percent, words in (
        ("45", "25", "From 60 days on it is 20 %: less than that."),
        ("90", "15", "From 60 days on it is 20 %: more than that."),
        ("90", "20", "From 60 days on it is 20 %: more than that."),
        ("30", "12", "already"),
        ("0", "12", "greater than or equal to 1"),
        ("90", "91", "less than or equal to 90"),
    ):
        answer = client.post(reverse("seconds_ages"), {"days": days, "percent": percent})
        assert (answer.status_code, words in text_of(answer)) == (422, True), (days, percent, text_of(answer))
    page = text_of(client.get(reverse("seconds_ages")))
    assert "From 30 days on 10 % comes off, from 60 days on 20 %." in page
    row = SecondsAge.objects.get(days=30)
    seen = fingerprint(row, ("days", "percent"))
    answer = client.post(reverse("seconds_age", args=[row.pk]), {"days": "30", "percent": "30", "seen": seen})
    assert answer.status_code == 422


# --- everybody


def test_thirty_boxes_and_lots_ask_no_more_than_one(client, lots, django_assert_num_queries):
    make_age(15, 20)
    make_seconds_box((lots[0], 2))
    pages = [reverse(name) for name in ("seconds_shelf", "seconds_lots", "seconds_boxes", "seconds_remelt")]
    counts = {}
    for page in pages:
        with CaptureQueriesContext(connection) as queries:
            client.get(page)
        counts[page] = len(queries)
    by = make_person()
    for _ in range(29):
        make_seconds_box((make_seconds_lot(make_candle(), 9, days=70), 4), by=by)
    for page in pages:
        with django_assert_num_queries(counts[page]):
            client.get(page)


def test_the_shelf_is_the_packers_and_posts_are_posts(client, client_for, lots):
    box, dipper = make_seconds_box((lots[0], 2)), client_for("dipper")
    for name in ("seconds_box_price", "seconds_box_open", "seconds_box_off"):
        assert client.get(reverse(name, args=[box.pk])).status_code == 405
        assert dipper.post(reverse(name, args=[box.pk])).status_code == 403
        assert client.post(reverse(name, args=[10**9])).status_code == 404
    for name in ("seconds_lots", "seconds_remelt"):
        assert dipper.post(reverse(name)).status_code == 403
        assert client_for("bookkeeper").get(reverse(name)).status_code == 403
    assert client_for("packer").get(reverse("seconds_ages")).status_code == 403
