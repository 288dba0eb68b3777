"""Order entry by keyboard in a real browser: keystrokes counted, a paste mended, the line lost, no script."""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal

import pytest
from playwright.sync_api import expect

from config.models import Person
from inventory.models import Candle
from orders.domain.ordering import Row, save_draft
from orders.models import Order, Shop
from orders.models.order import CONFIRMED, DRAFT
from tests.factories import make_candle, make_colour, make_lot, make_order, make_person, make_shop, make_van_days

pytestmark = pytest.mark.django_db(transaction=True)

COLOURS = ["Ivory", "Red", "Moss", "Honey", "Night", "Plum", "Rose", "Slate"]
SHAPES = [("taper", 250, 22), ("dinner", 180, 20), ("stub", 100, 30), ("church", 400, 25), ("slim", 300, 18)]


@pytest.fixture
def candles() -> list[Candle]:
    """Forty candles, half of them in stock."""
    made = []
    for number, colour in enumerate(COLOURS):
        tint = make_colour(code=colour[:2].upper(), name=colour, hex=f"#{number}0{number}040")
        for shape, length, base in SHAPES:
            candle = make_candle(
                code=f"{colour[:2].upper()}{shape[0].upper()}{length}",
                name=f"{colour} {shape} {length} x {base}",
                length_mm=Decimal(length),
                base_mm=Decimal(base),
                tip_mm=Decimal(base - 4),
                colour=tint,
            )
            made.append(candle)
            if len(made) % 2:
                make_lot(candle, 60)
    return made


@pytest.fixture
def desk(candles, sign_in):
    """Everything a packer needs to take an order; `desk.begin(page)` stands in the first row of a new one."""
    make_van_days(1, 3)
    shop = make_shop(name="The Lamp Room", town="Wexcombe")
    return Desk(make_person("packer", full_name="Ann Wick"), shop, candles, sign_in)


@dataclass(frozen=True)
class Desk:
    packer: Person
    shop: Shop
    candles: list[Candle]
    sign_in: Callable

    def enter(self, page, url: str) -> None:
        self.sign_in(page, self.packer)
        page.goto(url)

    def begin(self, page) -> Order:
        """Choose the shop by typing, and stand in the first row."""
        self.enter(page, "/orders/new/")
        page.keyboard.type("lamp")
        page.wait_for_selector("#shops form[data-typed=lamp]")
        page.keyboard.press("Enter")
        page.wait_for_url("**/entry/")
        assert focused(page) == "r0-code"
        return Order.objects.get()


def focused(page) -> str:
    return page.evaluate("document.activeElement.id")


def wait_saved(page) -> None:
    """Until the draft has been kept for the first time."""
    expect(page.locator("#version")).not_to_have_value("1")


def kept(order: Order) -> list[tuple[str, int]]:
    return [(line.candle.code, line.pairs) for line in order.lines.select_related("candle")]


def test_forty_lines_by_keyboard(page, desk, check_axe, capsys):
    order = desk.begin(page)
    # Counted by the page itself: every key that goes down in it.
    page.evaluate("addEventListener('keydown', () => { window.keysDown = (window.keysDown || 0) + 1; }, true)")
    wanted = [(candle.code, 12 + 6 * (number % 20)) for number, candle in enumerate(desk.candles)]
    for code, pairs in wanted:
        for text in (code.lower(), str(pairs)):
            page.keyboard.type(text)
            page.keyboard.press("Enter")
    assert focused(page) == "r40-code"
    expect(page.locator("td.cover svg")).to_have_count(40)
    typed, characters = page.evaluate("window.keysDown"), sum(len(code) + len(str(pairs)) for code, pairs in wanted)
    with capsys.disabled():
        beyond = (typed - characters) / 40
        sys.stdout.write(
            f"\n40 lines in {typed} keystrokes: {typed / 40:.2f} a line, {beyond:.2f} beyond the code and the pairs\n"
        )
    assert typed <= characters + 2 * 40
    assert kept(order) == wanted
    assert f"{sum(pairs for _, pairs in wanted):,} pairs, all but" in page.inner_text("h1")
    check_axe(page)
    page.keyboard.press("Control+Enter")
    page.wait_for_url(f"**/orders/{order.number}/")
    order.refresh_from_db()
    assert order.status == CONFIRMED
    assert kept(order) == wanted


def test_keys_go_through_candles_and_rows(page, desk, check_axe):
    order = desk.begin(page)
    page.keyboard.type("ta iv")
    assert page.locator("#candles li[aria-selected=true]").inner_text() == "IVT250 Ivory taper 250 x 22"
    page.keyboard.press("Escape")
    assert page.locator("#candles").is_hidden()
    assert page.input_value("#r0-code") == "ta iv"
    page.keyboard.press("Control+A")
    page.keyboard.type("taper")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    check_axe(page)
    chosen = page.locator("#candles li[aria-selected=true] b").inner_text()
    page.keyboard.press("Enter")
    page.keyboard.type("2b")
    page.keyboard.press("Enter")
    page.keyboard.type("ivt250 36")
    page.keyboard.press("Enter")
    assert focused(page) == "r2-code"
    page.wait_for_selector("#r1-cover svg")
    page.keyboard.press("ArrowUp")
    page.keyboard.press("ArrowUp")
    assert focused(page) == "r0-code"
    assert kept(order) == [(chosen, 48), ("IVT250", 36)]
    assert page.input_value("#r0-pairs") == "48"
    page.keyboard.press("ArrowDown")
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.matches('button.solid')")


def test_a_pasted_order_with_three_faults_is_mended_and_confirmed(page, desk, check_axe):
    order = desk.begin(page)
    block = "Candle\tPairs\nIVT250\t24\nIvory tapper\t12\nIVD180\tlots\nMoss\t6\nREC400\t18\nTotal\t60"
    page.evaluate(
        """text => { const data = new DataTransfer(); data.setData("text", text);
        document.activeElement.dispatchEvent(new ClipboardEvent("paste", {clipboardData: data, bubbles: true})); }""",
        block,
    )
    page.wait_for_selector("text=2 rows read, 3 to look at")
    check_axe(page)
    assert kept(order) == [("IVT250", 24), ("REC400", 18)]
    assert page.locator("tr.doubt").count() == 3
    assert "Left out, line 7" in page.inner_text("#messages")
    assert "3 rows to look at" in page.inner_text("h1")
    page.locator("tr.doubt").filter(has_text="No candle of that name").get_by_role("button", name="IVT250").click()
    page.fill("tr.doubt:has-text('not a number') input[name=pairs]", "30")
    page.keyboard.press("Enter")
    row = page.locator("tr.doubt").filter(has_text="candles fit")
    row.locator("input.code").fill("MOT250")
    page.keyboard.press("Enter")
    page.keyboard.press("Enter")
    expect(page.locator("tr.doubt")).to_have_count(0)
    page.keyboard.press("Control+Enter")
    page.wait_for_url(f"**/orders/{order.number}/")
    order.refresh_from_db()
    assert (order.status, order.unread) == (CONFIRMED, [])
    assert kept(order) == [("IVT250", 24), ("IVT250", 12), ("IVD180", 30), ("MOT250", 6), ("REC400", 18)]


def test_rows_typed_while_the_line_is_down_are_kept(page, desk, trouble):
    order = desk.begin(page)
    page.context.set_offline(True)
    for text in ("ivt250", "24", "mod180", "6"):
        page.keyboard.type(text)
        page.keyboard.press("Enter")
    page.wait_for_selector("text=Not saved: no line to the book")
    assert kept(order) == []
    trouble.clear()
    page.context.set_offline(False)
    page.wait_for_selector("#r1-cover svg")
    assert kept(order) == [("IVT250", 24), ("MOD180", 6)]
    assert "saved at" in page.inner_text("#saved")
    trouble.clear()


def test_the_second_hand_sees_both_and_puts_them_together(page, desk, check_axe):
    order = desk.begin(page)
    bob = make_person("packer", full_name="Bob Tallow")
    save_draft(order=order, version=1, header={}, rows=[Row(desk.candles[0], 9)], by=bob)
    page.keyboard.type("mod180")
    page.keyboard.press("Enter")
    page.keyboard.type("6")
    page.keyboard.press("Enter")
    page.wait_for_selector("text=Bob Tallow changed this draft while you were typing")
    check_axe(page)
    assert kept(order) == [(desk.candles[0].code, 9)]
    page.get_by_role("button", name="Put both together").click()
    page.wait_for_selector("#r1-cover svg")
    assert kept(order) == [("MOD180", 6), (desk.candles[0].code, 9)]


def test_a_row_is_struck_out_and_the_last_order_taken(page, desk):
    earlier = make_order(desk.shop, [(desk.candles[3], 30)])
    desk.enter(page, "/orders/new/?q=lamp")
    page.get_by_role("button", name="The Lamp Room").click()
    page.wait_for_url("**/entry/")  # keys typed before would fall into the old page
    page.keyboard.type("ivt250\n5\n")
    wait_saved(page)
    page.get_by_role("button", name="As last time").click()
    page.wait_for_selector(f"text=1 row taken from order {earlier.number}")
    page.get_by_role("button", name="Strike out row 1").click()
    expect(page.locator("td.cover svg")).to_have_count(1)
    order = Order.objects.get(status=DRAFT)
    assert kept(order) == [(desk.candles[3].code, 30)]


def test_what_the_header_lacks_is_told_at_its_field(page, desk, check_axe):
    desk.shop.reference_required = True
    desk.shop.save()
    order = desk.begin(page)
    page.keyboard.type("ivt250 12")
    page.keyboard.press("Enter")
    wait_saved(page)
    page.keyboard.press("Control+Enter")
    page.wait_for_selector(".errorlist")
    assert "needs its own reference" in page.inner_text(".field:has([name=reference])")
    check_axe(page)
    page.fill("[name=reference]", "XM-0713")
    page.fill("[name=ship_by]", "2020-01-01")
    page.press("[name=ship_by]", "Tab")
    page.wait_for_selector("text=1 January 2020 is past")
    order.refresh_from_db()
    assert (order.reference, order.status) == ("XM-0713", DRAFT)


def test_without_a_script_it_is_a_plain_form(browser, live_server, desk):
    context = browser.new_context(base_url=live_server.url, java_script_enabled=False)
    page = context.new_page()
    desk.enter(page, "/orders/new/")
    page.fill("#q", "lamp")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="The Lamp Room").click()
    order = Order.objects.get()
    page.fill("#r0-code", "ivt250")
    page.fill("#r0-pairs", "2b")
    page.fill("#r1-code", "purple")
    page.fill("#r1-pairs", "5")
    page.keyboard.press("Enter")
    page.wait_for_selector("tr.doubt")
    assert kept(order) == [("IVT250", 48)]
    page.locator("tr.doubt .nearest button").first.click()
    expect(page.locator("tr.doubt")).to_have_count(0)
    assert order.lines.count() == 2
    page.get_by_role("button", name="Add rows").click()
    page.wait_for_url("**/entry/?rows=more")
    assert page.locator("input.code").count() == 14
    page.locator(".paste summary").click()
    page.fill("[name=paste]", "24 x moss taper\nTotal 24")
    page.get_by_role("button", name="Read these rows").click()
    page.wait_for_selector("text=1 row read")
    page.get_by_role("button", name="Confirm").click()
    page.wait_for_url(f"**/orders/{order.number}/")
    order.refresh_from_db()
    assert order.status == CONFIRMED
    assert kept(order)[0] == ("IVT250", 48)
    assert kept(order)[2] == ("MOT250", 24)
    page.go_back()
    # The draft's page is asked for again, and there is none any more.
    expect(page).to_have_url(f"{live_server.url}/orders/{order.number}/")
    context.close()


def test_choosing_a_shop_and_the_seconds_shelf_are_clean(page, desk, check_axe):
    make_lot(desk.candles[0], 5, grade="seconds", fault="bent tip")
    desk.enter(page, "/orders/new/")
    check_axe(page)
    page.keyboard.type("lamp")
    page.wait_for_selector("#shops form[data-typed=lamp]")
    page.keyboard.press("ArrowDown")
    assert page.evaluate("document.activeElement.name") == "shop"
    page.goto("/seconds/")
    check_axe(page)
    page.fill("input.pairs", "9")
    page.select_option("[name=shop]", str(desk.shop.pk))
    page.keyboard.press("Control+Enter")
    page.wait_for_selector("text=Only 5 are free.")
    check_axe(page)
    page.fill("input.pairs", "5")
    page.keyboard.press("Control+Enter")
    page.wait_for_url("**/entry/")
    assert "Seconds order for The Lamp Room" in page.inner_text("h1")
    check_axe(page)
