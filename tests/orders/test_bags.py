"""Firelighters by the bag: kept for an order of seconds, on its note and invoice, out of the stock with the van."""

import uuid
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from orders.audit import breaches
from orders.domain.bags import free_bags, put_bags
from orders.domain.changing import cancel_order
from orders.domain.credit_draft import Asked
from orders.domain.crediting import issue_credit
from orders.domain.invoicing import issue_invoice
from orders.domain.ordering import Row, confirm_order
from orders.domain.packing import close_boxes, start_packing, unpack, van_left
from orders.domain.seconds import sell_seconds
from orders.domain.setting_aside import set_aside_order
from orders.e_invoice.document import document_of, faults
from orders.models import Order, OrderBags
from production.domain.wick_ends import book_wick_ends, wick_ends_there
from tests.factories import make_candle, make_lot, make_person, make_shop, make_vat_rates
from tests.factories.bench import make_bench
from tests.factories.house import make_workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return make_person()


@pytest.fixture
def shelf(by):
    """Nine pairs of seconds and ten bags at 4.50."""
    make_bench()
    make_workshop(firelighter_price=Decimal("4.50"))
    make_vat_rates()
    candle = make_candle(code="IV250")
    make_lot(candle, 9, grade="seconds", fault="bent")
    book_wick_ends(kind="weighed in", grams=6000, by=by)
    book_wick_ends(kind="bagged", grams=5000, bags=10, by=by)
    return candle


def sell(candle, bags: int, by, pairs: int = 3) -> Order:
    return sell_seconds(shop=make_shop(), submission=uuid.uuid4(), rows=[Row(candle, pairs)], by=by, bags=bags)


def left_with_bags(candle, bags: int, by):
    order = sell(candle, bags, by)
    order = confirm_order(order=order, version=order.version, by=by)
    set_aside_order(order=order, by=by)
    delivery = start_packing(order=order, by=by)
    delivery = close_boxes(delivery=delivery, version=delivery.version, by=by)
    return van_left(delivery=delivery, version=delivery.version, on=timezone.localdate(), by=by)


def test_bags_are_kept_from_the_draft_on_and_free_again_when_it_is_called_off(shelf, by):
    order = sell(shelf, 6, by)
    assert (order.bags.bags, order.bags.price, free_bags()) == (6, Decimal("4.50"), 4)
    with pytest.raises(ValidationError, match="Only 4 bags are free"):
        sell(shelf, 5, by)
    put_bags(order=order, bags=2, by=by)
    assert free_bags() == 8
    order = confirm_order(order=order, version=order.version, by=by)
    with pytest.raises(ValidationError, match="stay with it"):
        put_bags(order=order, bags=1, by=by)
    cancel_order(order=order, version=order.version, by=by, reason="They changed their mind")
    assert free_bags() == 10


def test_they_go_with_the_delivery_and_stand_on_its_note(shelf, by):
    delivery = left_with_bags(shelf, 6, by)
    row = OrderBags.objects.get()
    assert row.delivery == delivery
    assert row.sold.bags == -6
    assert wick_ends_there()["bags"] == 4
    assert free_bags() == 4
    assert delivery.note.content["bags"] == {"count": 6, "words": "Firelighters, 6 bags"}
    assert not list(breaches())
    OrderBags.objects.update(bags=5)
    assert [said for said in breaches() if "bags" in said] == [
        f"order {delivery.order.number}: 5 bags go with {delivery}, 6 left the stock"
    ]


def test_unpacked_they_wait_for_the_next_delivery(shelf, by):
    order = sell(shelf, 6, by)
    order = confirm_order(order=order, version=order.version, by=by)
    set_aside_order(order=order, by=by)
    delivery = start_packing(order=order, by=by)
    unpack(delivery=delivery, version=delivery.version, by=by)
    row = OrderBags.objects.get()
    assert (row.delivery, row.sold) == (None, None)
    assert free_bags() == 4


def test_the_van_waits_where_fewer_stand_filled(shelf, by):
    order = sell(shelf, 6, by)
    order = confirm_order(order=order, version=order.version, by=by)
    set_aside_order(order=order, by=by)
    delivery = start_packing(order=order, by=by)
    delivery = close_boxes(delivery=delivery, version=delivery.version, by=by)
    book_wick_ends(kind="sold", bags=7, by=by, note="at the door")
    with pytest.raises(ValidationError, match="6 bags of firelighters go with it, and 3 stand filled"):
        van_left(delivery=delivery, version=delivery.version, on=timezone.localdate(), by=by)
    delivery.refresh_from_db()
    assert delivery.state == "packed"


def test_the_invoice_adds_them_up_and_can_be_taken_back(shelf, by):
    delivery = left_with_bags(shelf, 6, by)
    today = timezone.localdate()
    shop = delivery.order.shop
    invoice = issue_invoice(shop=shop, delivery_ids=[delivery.pk], issued_on=today, by=by)
    line = invoice.lines.get(order_line=None)
    assert (line.net, line.words) == (Decimal("27.00"), "Firelighters, by the bag")
    printed = invoice.paper.content["deliveries"][0]["lines"][-1]
    assert (printed["name"], printed["pairs"], printed["unit"], printed["price"], printed["net"]) == (
        "Firelighters, 6 bags at 4.50", 6, "C62", "4.50", "27.00",
    )  # fmt: skip
    assert invoice.goods == sum(line.net for line in invoice.lines.all())
    assert not faults(document_of(invoice.paper.content))
    asked = Asked(why="mistake", reason="Wrong shop", set_off_on=today)
    note = issue_credit(invoice=invoice, asked=asked, issued_on=today, by=by, submission=uuid.uuid4())
    assert note.gross == invoice.gross
    assert "Firelighters, by the bag" in str(note.paper.content["deliveries"])
    assert not list(breaches())


def test_without_a_price_in_another_currency_or_alone_they_are_refused(shelf, by):
    make_workshop(firelighter_price=None)
    with pytest.raises(ValidationError, match="no price for a bag"):
        sell(shelf, 1, by)
    make_workshop(firelighter_price=Decimal("4.50"))
    with pytest.raises(ValidationError, match="Bags go with them"):
        sell_seconds(shop=make_shop(), submission=uuid.uuid4(), rows=[], by=by, bags=2)
    order = sell_seconds(shop=make_shop(currency="EUR"), submission=uuid.uuid4(), rows=[Row(shelf, 1)], by=by)
    with pytest.raises(ValidationError, match="sold in pounds"):
        put_bags(order=order, bags=1, by=by)
    firsts = Order.objects.create(
        number=9, shop=make_shop(), placed_on=timezone.localdate(), made_by=by, submission=uuid.uuid4()
    )
    with pytest.raises(ValidationError, match="draft of seconds"):
        put_bags(order=firsts, bags=1, by=by)


def test_the_shelf_sells_them_and_tells_what_is_wrong_beside_the_field(client_for, shelf):
    client, shop = client_for("packer"), make_shop()
    page = client.get(reverse("seconds_shelf")).content.decode()
    assert "10 bags of firelighters are free" in page
    form = {"shop": shop.pk, "submission": uuid.uuid4(), f"pairs-{shelf.pk}": "3", "bags": "12"}
    refused = client.post(reverse("seconds_sell"), form)
    assert refused.status_code == 422
    assert "Only 10 bags are free." in refused.content.decode()
    assert not Order.objects.exists()
    for wrong in ("-1", "2.5", "lots", "99999999999999999999"):
        assert client.post(reverse("seconds_sell"), {**form, "bags": wrong}).status_code == 422
    for _ in range(2):
        assert client.post(reverse("seconds_sell"), {**form, "bags": "4"}).status_code == 302
    assert OrderBags.objects.get().bags == 4
    page = client.get(Order.objects.get().get_absolute_url()).content.decode()
    assert "Firelighters, 4 bags at 4.50: £18.00" in page


def test_bags_of_a_draft_are_changed_on_their_own_page(client_for, shelf, by):
    order, client = sell(shelf, 4, by), client_for("packer")
    page = reverse("order_bags", args=[order.number])
    assert client.get(page).status_code == 200
    refused = client.post(page, {"bags": "11"})
    assert refused.status_code == 422
    assert "Only 10 bags are free" in refused.content.decode()
    assert client.post(page, {"bags": "7"}).status_code == 302
    assert OrderBags.objects.get().bags == 7
    assert client.post(page, {"bags": "0"}).status_code == 302
    assert not OrderBags.objects.exists()
    assert client_for("dipper").post(page, {"bags": "1"}).status_code == 403
