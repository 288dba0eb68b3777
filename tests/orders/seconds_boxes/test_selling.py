"""Boxes of seconds on orders: sold whole, packed as they stand, put back whole."""

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.template.loader import render_to_string
from django.utils import timezone

from inventory.domain.versions import StaleVersion
from inventory.models import Lot
from orders.documents.acknowledgement import acknowledgement_content
from orders.documents.invoice import invoice_content
from orders.domain.changing import cancel_order, change_pairs
from orders.domain.invoicing import issue_invoice
from orders.domain.order_draft import draft_deposit, draft_pro_forma
from orders.domain.ordering import Row, confirm_order, discard_draft, save_draft
from orders.domain.packing import close_boxes, start_packing, unpack, van_left
from orders.domain.promising import promise_date
from orders.domain.releasing import release_order, release_promise, take_over
from orders.domain.seconds_selling import take_box_off
from orders.domain.setting_aside import set_aside_order
from orders.models import Order
from orders.queries.packing import picks_for_order
from tests.factories import make_order, make_shop, make_vat_rates
from tests.factories.prices import make_price_list
from tests.factories.seconds import make_age, make_seconds_box
from tests.orders.seconds_boxes.shelf import free, sell, sold, sound, state

pytestmark = pytest.mark.django_db


def test_a_sold_box_is_gone_at_once_and_its_price_is_on_its_lines_to_the_penny(box, lots, by):
    shop = make_shop(name="Salt and Ember", discount=5)
    order = sell(by, [box], shop=shop)
    assert state(box) == ("sold", order.number)
    with pytest.raises(ValidationError, match="SB-101 is gone: Salt and Ember took it on order"):
        sell(by, [box])
    assert Order.objects.count() == 1
    sound()
    order = confirm_order(order=order, version=order.version, by=by)
    lines = list(order.lines.all())
    # A penny each, and of the 9.84 above it 11 x 1.125 and 5 x 0.45 parts of 14.625: 76.69 and 31.28 pence a pair.
    assert sum(line.pairs * line.price for line in lines) == Decimal("10.00")
    assert [(line.candle.code, line.pairs, line.price) for line in lines] == [
        ("TAP250", 2, Decimal("0.76")), ("TAP250", 9, Decimal("0.77")), ("WEE10", 5, Decimal("0.31")),
    ]  # fmt: skip
    assert {line.discount for line in lines} == {0}
    promises = [(p.lot.code, p.pairs) for line in lines for p in line.promises.order_by("pk")]
    assert promises == [("S1", 2), ("S1", 5), ("S2", 4), ("S3", 5)]
    assert free(*lots) == [2, 2, 0]
    sound()


def test_boxes_and_single_pairs_go_on_one_order_and_the_form_twice_is_one(box, by, taper):
    submission, shop = uuid.uuid4(), make_shop()
    for _ in range(2):
        order = sell(by, [box], rows=[Row(taper, 3)], shop=shop, submission=submission)
    assert order.lines.first().pairs == 3
    assert sum(line.pairs for line in order.lines.all()) == 19
    order = confirm_order(order=order, version=order.version, by=by)
    set_aside_order(order=order, by=by)
    assert all(line.set_aside == line.pairs for line in order.lines.all())
    sound()


def test_typing_on_in_the_draft_leaves_its_boxes_alone(box, by, taper):
    order = sell(by, [box], rows=[Row(taper, 3)])
    header = {"ship_by": order.ship_by}
    save_draft(order=order, version=order.version, header=header, rows=[Row(taper, 2), Row(taper, 1)], by=by)
    assert [line.pairs for line in order.lines.all()][:2] == [2, 1]
    assert sum(line.pairs * line.price for line in order.lines.exclude(seconds_box=None)) == Decimal("10.00")
    sound()


def test_a_draft_put_away_puts_its_boxes_back(box, lots, by):
    order = sell(by, [box])
    discard_draft(order=order, version=order.version, by=by)
    assert (state(box), free(*lots)) == (("on the shelf", None), [2, 2, 0])
    assert sum(line.pairs for line in order.lines.all()) == 16
    sold(by, box)
    sound()


def test_an_order_called_off_puts_its_boxes_back_and_frees_the_rest(box, lots, by, taper):
    order = sell(by, [box], rows=[Row(taper, 3)])
    order = confirm_order(order=order, version=order.version, by=by)
    set_aside_order(order=order, by=by)
    order.refresh_from_db()
    cancel_order(order=order, version=order.version, reason="shut", by=by)
    assert (state(box), free(*lots)) == (("on the shelf", None), [2, 2, 0])
    sound()


def test_pairs_in_a_box_are_not_changed_released_or_taken_over_singly(box, by, taper):
    order = sold(by, box)
    line = order.lines.first()
    told = "These pairs lie in box SB-101: take the whole box off the order instead."
    acts = [
        lambda: change_pairs(line=line, pairs=1, version=order.version, by=by),
        lambda: release_promise(promise=line.promises.first(), pairs=1, by=by),
        lambda: take_over(from_promise=line.promises.first(), to_line=other.lines.get(), pairs=1, by=by),
    ]
    other = make_order(lines=[(taper, 20)], by=by, grade="seconds")
    for act in acts:
        with pytest.raises(ValidationError) as refused:
            act()
        assert refused.value.messages == [told]
    assert release_order(order=order, by=by) == 0
    sound()


def test_a_box_comes_off_a_confirmed_order_whole(box, lots, by, taper):
    order = sell(by, [box], rows=[Row(taper, 2)])
    order = confirm_order(order=order, version=order.version, by=by)
    box.refresh_from_db()
    take_box_off(box=box, version=box.version, by=by)
    assert [line.pairs for line in order.lines.all()] == [2, 0, 0, 0]
    assert state(box) == ("on the shelf", None)
    sound()


def test_a_box_comes_off_a_draft_and_the_last_of_an_order_does_not(box, by):
    order = sell(by, [box])
    box.refresh_from_db()
    take_box_off(box=box, version=box.version, by=by)
    assert not order.lines.exists()
    order = sold(by, box)
    box.refresh_from_db()
    with pytest.raises(ValidationError, match="It is all that order"):
        take_box_off(box=box, version=box.version, by=by)
    with pytest.raises(StaleVersion):
        take_box_off(box=box, version=box.version - 1, by=by)
    sound()


def test_packing_puts_the_box_in_as_it_is_and_the_van_takes_it(box, lots, by, taper):
    order = sell(by, [box], rows=[Row(taper, 3)])
    order = confirm_order(order=order, version=order.version, by=by)
    set_aside_order(order=order, by=by)
    delivery = start_packing(order=order, by=by)
    sealed, loose = delivery.boxes.all()
    assert (sealed.seconds_box, sealed.kind, sum(c.pairs for c in sealed.contents.all())) == (box, box.kind, 16)
    assert sum(content.pairs for content in loose.contents.all()) == 3
    sound()
    box.refresh_from_db()
    with pytest.raises(ValidationError, match="SB-101 stands packed"):
        take_box_off(box=box, version=box.version, by=by)
    unpack(delivery=delivery, version=delivery.version, by=by)
    delivery = start_packing(order=order, by=by)
    delivery = close_boxes(delivery=delivery, version=delivery.version, by=by)
    assert delivery.note.content["seconds"] is True
    first = delivery.note.content["boxes"][0]
    assert (first["seconds_box"], first["net_kg"]) == ("SB-101", f"{Decimal(box.weight_g) / 1000:.2f}")
    van_left(delivery=delivery, version=delivery.version, on=timezone.localdate(), by=by)
    order.refresh_from_db()
    assert (order.status, state(box)[0]) == ("done", "sold")
    assert sum(Lot.objects.get(pk=lot.pk).on_hand for lot in lots) == 20 - 19
    sound()


def test_age_makes_a_box_and_single_pairs_cheaper(lots, by, taper):
    make_age(15, 20)
    box = make_seconds_box((lots[0], 4), by=by)
    order = sell(by, [box], rows=[Row(taper, 5)])
    # 4 x 1.125 x 0.8 = 3.60; what goes first of the rest is older too.
    assert sum(line.pairs * line.price for line in order.lines.exclude(seconds_box=None)) == Decimal("3.60")
    assert order.lines.get(seconds_box=None).price == Decimal("0.90")


def test_a_shop_with_a_discount_and_one_in_euro(lots, by):
    make_price_list([(lots[0].candle, "3.00")], currency="EUR", since=timezone.localdate() - timedelta(days=9))
    box = make_seconds_box((lots[0], 4), by=by)
    own = make_seconds_box((lots[1], 6), by=by, price=Decimal(5))
    order = sell(by, [box], shop=make_shop(discount=10, currency="EUR"))
    # 4 x 1.50 less 10 %
    assert sum(line.pairs * line.price for line in order.lines.all()) == Decimal("5.40")
    with pytest.raises(ValidationError, match="SB-102 cannot be sold to this shop: its own price is in GBP only"):
        sell(by, [own], shop=make_shop(currency="EUR"))
    order.shop.currency = "GBP"
    order.shop.save()
    with pytest.raises(ValidationError, match="Its boxes were priced in EUR"):
        confirm_order(order=order, version=order.version, by=by)


def test_a_candle_no_longer_made_can_still_go_in_a_box(box, by, taper):
    taper.active = False
    taper.save()
    assert sold(by, box).status == "confirmed"


def test_the_bench_fetches_the_box_and_papers_name_each_lot_of_it_once(box, by):
    order = sold(by, box)
    picks = picks_for_order(order)
    # The tapers stand at two prices on the order; they are fetched, packed and listed as the one thing they are.
    assert [(pick.lot.code, pick.box, [pairs for _, pairs in pick.orders]) for pick in picks] == [
        ("S1", "SB-101", [7]), ("S2", "SB-101", [4]), ("S3", "SB-101", [5]),
    ]  # fmt: skip
    delivery = start_packing(order=order, by=by)
    delivery = close_boxes(delivery=delivery, version=delivery.version, by=by)
    note, slip = delivery.note.content, delivery.boxes.get().slip.content
    assert [(line["code"], line["ordered"], line["pairs"]) for line in note["lines"]] == [
        ("TAP250", 11, 11), ("WEE10", 5, 5),
    ]  # fmt: skip
    assert [(lot["code"], lot["pairs"], lot["fault"]) for lot in note["lines"][0]["lots"]] == [
        ("S1", 7, "bent"), ("S2", 4, "ripples"),
    ]  # fmt: skip
    assert [(row["lot"], row["pairs"]) for row in slip["contents"]] == [("S1", 7), ("S2", 4), ("S3", 5)]
    assert slip["box"]["seconds_box"] == "SB-101"


def test_every_paper_of_an_order_of_seconds_says_so(box, by, taper):
    make_vat_rates()
    order = sold(by, box, shop=make_shop())
    today = timezone.localdate()
    pro_forma = invoice_content(draft_pro_forma(order=order, issued_on=today))
    deposit = draft_deposit(order=order, received=Decimal(5), received_on=today, issued_on=today)
    promise = promise_date(order=order, day=today + timedelta(days=3), by=by)
    for content in (pro_forma, acknowledgement_content(order, promise, replaces="")):
        template = "print/invoice.html" if "deliveries" in content else "print/acknowledgement.html"
        assert "Seconds" in render_to_string(template, {"paper": {**content, "number": "X-1"}})
    assert "Deposit on order 2001 of seconds" in deposit.lines[0].words
    delivery = start_packing(order=order, by=by)
    delivery = close_boxes(delivery=delivery, version=delivery.version, by=by)
    delivery = van_left(delivery=delivery, version=delivery.version, on=today, by=by)
    invoice = issue_invoice(shop=order.shop, delivery_ids=[delivery.pk], issued_on=today, by=by)
    # 10.00 to the penny, whatever the lines' prices.
    assert invoice.goods == Decimal("10.00")
    assert "Seconds are sold as such, with the faults of their kind." in invoice.paper.content["notes"]
    printed = render_to_string("print/invoice.html", {"paper": invoice.paper.content})
    assert '<span class="seconds-mark">Seconds</span>' in printed
    assert all(line["seconds"] for line in invoice.paper.content["deliveries"][0]["lines"])
    sound()
