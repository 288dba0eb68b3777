"""An order form on its whole way: made, filled in as a shop would, read back, mended, taken."""

import pytest

from orders.models import Order, OrderForm
from orders.models.order import CONFIRMED
from tests.factories import make_candle, make_person, make_shop, make_van_days, make_workshop
from tests.factories.order_forms import Filled

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def shop():
    make_workshop()
    make_van_days(1, 3)
    for code, name in (
        ("BW300", "Beeswax taper 300 x 22"), ("IV250", "Ivory taper 250 x 22"), ("MS180", "Moss dinner 180 x 20"),
        ("RD250", "Winter red taper 250 x 22"),
    ):  # fmt: skip
        make_candle(code=code, name=name)
    return make_shop(name="The Lamp Room", town="Wexcombe")


def fill_in(content: bytes) -> bytes:
    """As a shop does it: sorted by name from the end, a note, quantities in its own words, one row too many."""
    sheet = Filled(content)
    sheet.put("IV250", "2 boxes")
    sheet.put("RD250", 36)
    sheet.put("RD250", "the darker red, please", "note")
    sheet.put("MS180", "a doz")
    first, last = sheet.top + 1, sheet.top + 4
    rows = [[cell.value for cell in row] for row in sheet.sheet.iter_rows(first, last)]
    for number, row in enumerate(sorted(rows, key=lambda row: row[2], reverse=True), start=first):
        for column, value in enumerate(row, start=1):
            sheet.sheet.cell(number, column).value = value
    sheet.add(candle="Ivory tapper", pairs=6)
    sheet.head("reference", "PO 17")
    sheet.head("day", sheet.book["Days"]["A3"].value)
    return sheet.data


def test_made_filled_read_mended_taken(page, sign_in, shop, check_axe, tmp_path):
    sign_in(page, make_person("packer", full_name="Ann Wick"))
    page.goto(shop.get_absolute_url())
    page.get_by_role("link", name="Make an order form").click()
    check_axe(page)
    page.get_by_role("button", name="Make the form").click()
    page.wait_for_url("**/order-forms/*/")
    check_axe(page)
    with page.expect_download() as fetched:
        page.get_by_role("link", name="Fetch the sheet (XLSX)").click()
    assert fetched.value.suggested_filename == "order-form-101-the-lamp-room.xlsx"
    back = tmp_path / "OF-101 filled.xlsx"
    back.write_bytes(fill_in(fetched.value.path().read_bytes()))

    page.get_by_role("link", name="Read it when it comes back").click()
    check_axe(page)
    page.set_input_files("input[type=file]", back)
    page.get_by_role("button", name="Read it into a draft").click()
    page.wait_for_url("**/entry/")
    order = Order.objects.get()
    assert page.locator("h1").inner_text().endswith("1 row to look at.")
    assert list(order.lines.values_list("candle__code", "pairs")) == [("RD250", 36), ("MS180", 12), ("IV250", 48)]
    assert (order.reference, order.shop) == ("PO 17", shop)
    assert "RD250: the darker red, please" in page.input_value("[name=notes]")
    assert "Ivory tapper – 6" in page.locator("tr.doubt").inner_text()
    check_axe(page)

    page.get_by_role("link", name="how it was read").click()
    assert "3 rows understood, 1 to look at" in page.inner_text("h1")
    check_axe(page)
    page.get_by_role("link", name="To the draft").click()
    page.locator("tr.doubt").get_by_role("button", name="IV250").click()
    page.wait_for_selector("tr.doubt", state="detached")
    page.locator("button.solid", has_text="Confirm 102 pairs").click()
    page.wait_for_url(f"**/orders/{order.number}/")
    order.refresh_from_db()
    assert (order.status, order.unread, OrderForm.objects.get().backs.get().order) == (CONFIRMED, [], order)
    assert sum(line.pairs for line in order.lines.all()) == 102
