"""The stockroom in a real browser: the sheet typed in by keyboard alone, and every page read by axe."""

import pytest
from django.urls import reverse

from inventory.domain.counts import start_count
from inventory.domain.lots import regrade_pairs
from tests.factories import make_candle, make_lot, make_person, make_shelf, make_workshop

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def count():
    make_workshop()
    shelf, by = make_shelf(code="A1"), make_person()
    lots = [make_lot(make_candle(shelf=shelf), pairs, shelf=shelf, by=by) for pairs in (24, 30, 36)]
    regrade_pairs(lot=lots[0], pairs=4, fault="bent", reason="seen", by=by)
    return start_count(by=by)


def test_sheet_is_typed_in_by_keyboard_alone(page, sign_in, count):
    sign_in(page, make_person())
    page.goto(reverse("stock_count_type", args=[count.pk]))
    # The first empty field has the focus; Enter goes on from field to field, and from the last to the button.
    for pairs in ("20", "4", "29", "36"):
        page.keyboard.type(pairs)
        page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.textContent").startswith("Show the differences")
    page.keyboard.press("Enter")
    page.wait_for_url(f"**{count.get_absolute_url()}")
    assert "4 of 4 lots counted; 1 differs, 1 pair fewer in all" in page.inner_text("h1")
    page.get_by_role("button", name="Post the differences").click()
    page.wait_for_selector("text=is posted")
    assert count.rows.get(counted=29).lot.on_hand == 29


def test_enter_without_script_keeps_what_was_typed(live_server, browser, client_for, count):
    client = client_for("packer")
    context = browser.new_context(base_url=live_server.url, java_script_enabled=False)
    context.add_cookies([{"name": "sessionid", "value": client.cookies["sessionid"].value, "url": live_server.url}])
    page = context.new_page()
    page.goto(reverse("stock_count_type", args=[count.pk]))
    page.locator("input.counted").first.fill("19")
    page.locator("input.counted").first.press("Enter")
    page.wait_for_selector("text=Nothing has moved yet")
    assert page.locator("input.counted").first.input_value() == "19"
    context.close()


def test_axe_finds_nothing_on_refused_forms(page, sign_in, check_axe, count):
    sign_in(page, make_person())
    lot = count.rows.filter(lot__grade="firsts").first().lot
    for name, key in (("candle_new", None), ("count_in", None), ("adjust", lot.pk), ("regrade", lot.pk)):
        page.goto(reverse(name, args=[key] if key else []))
        page.evaluate("document.querySelectorAll('main form').forEach(form => { form.noValidate = true })")
        page.locator("main button.solid").click()
        page.wait_for_selector(".refusal")
        check_axe(page)
