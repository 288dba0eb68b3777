"""The order book and an order's page by keyboard and mouse, in a real browser."""

from datetime import timedelta

import pytest
from django.utils import timezone

from orders.domain.setting_aside import set_aside_order, sync_wants
from orders.models import SetAside
from tests.factories import make_candle, make_colour, make_lot, make_order, make_person, make_shop, make_workshop
from tests.recount import recount


@pytest.fixture
def season():
    """Two orders want the last 40 pairs of ivory; moss of the same shape is free."""
    make_workshop()
    day = timezone.localdate() + timedelta(days=1)
    ivory = make_candle(code="IV250", name="Ivory taper 250 x 22")
    moss = make_candle(code="MO250", name="Moss taper 250 x 22", colour=make_colour(name="Moss"), wax=ivory.wax)
    make_lot(ivory, 40, code="R2417"), make_lot(moss, 36, code="R2420")
    lamp = make_order(make_shop(name="The Lamp Room", other_colour="ask"), [(ivory, 48)], ship_by=day)
    ossel = make_order(make_shop(name="Ossel Gifts"), [(ivory, 24)], ship_by=day + timedelta(days=7))
    for order in (lamp, ossel):
        sync_wants(order)
    return lamp, ossel


def test_from_the_book_to_the_last_pair(page, sign_in, check_axe, season):
    lamp, ossel = season
    sign_in(page, make_person("packer"))
    page.goto("/orders/")
    check_axe(page)
    page.get_by_role("button", name="Set aside all that can be").click()
    # The rule gives the lamp room all and completes nobody; Ossel could be completed in its stead.
    page.get_by_text("The rule completes 0 of 2 orders with open pairs; another way completes 1.").wait_for()
    check_axe(page)
    page.get_by_role("button", name="Complete most orders").click()
    page.get_by_text("40 pairs set aside; 32 stay open.").wait_for()
    page.get_by_role("link", name=str(lamp.number)).click()
    page.get_by_text("32 of 48 pairs for The Lamp Room are open").wait_for()
    page.get_by_text("Another colour in this shape: ask first").wait_for()
    check_axe(page)
    page.get_by_role("link", name="Take over").click()
    check_axe(page)
    page.get_by_role("link", name="Take over").click()
    page.get_by_text(f"Take pairs of R2417 away from order {ossel.number}, Ossel Gifts").wait_for()
    check_axe(page)
    page.get_by_label("Pairs").fill("4")
    page.keyboard.press("Enter")
    page.get_by_text(f"4 pairs of R2417 taken over from order {ossel.number}.").wait_for()
    page.get_by_role("button", name="put 28 on").click()
    page.get_by_text("28 pairs of Moss taper 250 x 22 ordered in place of Ivory taper").wait_for()
    page.get_by_role("button", name="Set aside what is free").click()
    page.get_by_text("all 48 pairs for The Lamp Room are covered, ready to pack").wait_for()
    check_axe(page)
    recount()


def test_a_refused_release_keeps_what_was_typed(page, sign_in, check_axe, season):
    lamp, _ = season
    person = make_person("packer")
    set_aside_order(order=lamp, by=person)
    sign_in(page, person)
    page.goto(f"/orders/{lamp.number}/")
    page.get_by_role("link", name="Release pairs of R2417").click()
    page.get_by_label("Pairs").fill("41")
    page.get_by_label("Why").fill("dropped")
    page.keyboard.press("Enter")
    page.locator(".refusal").get_by_text("Between 1 and 40 pairs of R2417 can go.").wait_for()
    check_axe(page)
    assert page.get_by_label("Why").input_value() == "dropped"
    assert SetAside.objects.get().pairs == 40


@pytest.mark.parametrize("width", [1280, 820, 400])
def test_nothing_runs_off_the_side(page, sign_in, season, width):
    sign_in(page, make_person())
    page.set_viewport_size({"width": width, "height": 800})
    for path in ("/orders/", f"/orders/{season[0].number}/", "/orders/set-aside/ways/", "/dip-list/"):
        page.goto(path)
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
