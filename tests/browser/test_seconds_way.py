"""Seconds of three lots from the shelf to the van: boxed, listed, sold to one shop while another tries for the same
box, delivered with a note that says seconds.
"""

import io
import re
from decimal import Decimal

import pytest
from django.urls import reverse
from pypdf import PdfReader

from orders.audit import breaches
from orders.models import Contact, Order, SecondsBox
from tests.factories import make_person, make_shop, make_van_days
from tests.factories.seconds import make_age, make_three_lots

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def packer():
    return make_person("packer", full_name="Tilde Rook")


@pytest.fixture
def lots():
    make_van_days()
    make_age(15, 20)
    return make_three_lots()


@pytest.fixture
def bench(page, sign_in, packer, lots):
    """The page, with the packer signed in and three lots of seconds on the shelf."""
    sign_in(page, packer)
    return page


def text_of(page, address: str) -> str:
    answer = page.request.get(address)
    assert answer.headers["content-type"] == "application/pdf"
    sheets = PdfReader(io.BytesIO(answer.body())).pages
    return re.sub(r"\s+", " ", " ".join(sheet.extract_text() for sheet in sheets))


def make_up(page, lots) -> SecondsBox:
    """Everything of the three lots into one box, weighed, at a price of its own."""
    reckoned = sum(lot.on_hand * lot.candle.grams_a_pair for lot in lots) / 1000
    page.goto(reverse("seconds_shelf"))
    page.get_by_role("link", name="Lot by lot, make up a box").click()
    page.get_by_text("20 pairs of seconds lie free in 3 lots").wait_for()
    for lot in lots:
        page.get_by_label(f"Pairs of {lot.code} into the box").fill(str(lot.on_hand))
    page.get_by_label("Sold").select_option("weight")
    page.get_by_label("The scales say (kg)").fill("9")
    page.get_by_label("Its price (GBP)").fill("15.00")
    page.get_by_role("button", name="Make up the box").click()
    page.get_by_text("tick that the scales are right").wait_for()
    page.get_by_label("The scales say (kg)").fill(f"{reckoned:.3f}")
    page.get_by_role("button", name="Make up the box").click()
    page.get_by_text("SB-101 is made up").wait_for()
    return SecondsBox.objects.get()


def test_three_lots_are_boxed_listed_sold_once_and_delivered_as_seconds(bench, check_axe, lots):
    page = bench
    keen, late = make_shop(name="Salt and Ember", wants_seconds_list=True), make_shop(name="Wick and Wharf")
    Contact.objects.create(shop=keen, name="Della Finch", does="buying", email="della@salt.example")
    box = make_up(page, lots)
    check_axe(page)
    assert all(words in text_of(page, reverse("seconds_box_label", args=[box.pk])) for words in ("Seconds", "SB-101"))
    send_the_list(page, keen)
    order = sell_once(page, box, keen, late)
    deliver(page, order, box)
    assert list(breaches()) == []


def send_the_list(page, shop) -> None:
    page.goto(reverse("seconds_list"))
    page.get_by_role("button", name="Send it to 1 shop").click()
    page.get_by_text("on the way: SL-1001.").wait_for()
    printed = text_of(page, shop.papers.get().get_absolute_url())
    assert all(words in printed for words in ("Seconds list SL-1001", "SB-101", "15.00", "9 bent, 6 ripples"))


def sell_once(page, box, keen, late) -> Order:
    """Both shops' pages stand open with the box on them; the second to press is told who has it."""
    second = page.context.new_page()
    for tab, shop in ((page, keen), (second, late)):
        tab.goto(reverse("seconds_shelf"))
        tab.get_by_label("Shop").select_option(str(shop))
        tab.get_by_label(f"Sell box {box.code}").check()
    page.get_by_role("button", name="Sell as seconds").click()
    page.get_by_text("Seconds order for Salt and Ember, Orrin Bay: 1 box of 20 pairs.").wait_for()
    second.get_by_role("button", name="Sell as seconds").click()
    second.get_by_text("SB-101 is gone: Salt and Ember took it on order 2001.").wait_for()
    second.close()
    page.get_by_role("button", name="Confirm 20 pairs").click()
    page.wait_for_url("**/orders/2001/")
    order = Order.objects.get()
    assert order.shop == keen
    assert sum(line.pairs * line.price for line in order.lines.all()) == Decimal("15.00")
    return order


def deliver(page, order: Order, box: SecondsBox) -> None:
    page.get_by_role("button", name="Start packing").click()
    page.get_by_text("1 box of seconds as made up").wait_for()
    page.get_by_role("button", name="Close the boxes").click()
    page.get_by_text("DN-1001 is made").wait_for()
    delivery = order.deliveries.get()
    note = text_of(page, delivery.note.get_absolute_url())
    slip = text_of(page, delivery.boxes.get().slip.get_absolute_url())
    for printed in (note, slip):
        assert all(words in printed for words in ("Seconds", "SB-101", "S1", "S2", "S3", "drip tail"))
    assert "All pairs on this note are seconds" in note
    page.get_by_role("button", name="The van has left with it").click()
    page.get_by_text("20 pairs have left the stock").wait_for()
    page.goto(box.get_absolute_url())
    page.get_by_text("SB-101 is sold to Salt and Ember, Orrin Bay").wait_for()
    page.goto(reverse("seconds_shelf"))
    page.get_by_text("The seconds shelf is empty: nothing to sell.").wait_for()
