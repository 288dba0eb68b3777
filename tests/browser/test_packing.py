"""The bench's pages in a real browser: nothing for axe to find, no page wider than its window."""

from django.urls import reverse

from orders.domain.packing import start_packing, unpack
from tests.factories import make_person, make_shop
from tests.factories.bench import make_packed, make_ready_order


def test_axe_finds_nothing_on_stopped_void_and_closed_deliveries(page, sign_in, check_axe):
    packer = make_person()
    make_ready_order(packer)
    make_ready_order(packer, shop=make_shop(on_stop=True, stop_reason="overdue"))
    on_bench = start_packing(order=make_ready_order(packer, lines=(30, 12)), by=packer)
    packed, void = make_packed(packer), make_packed(packer)
    unpack(delivery=void, version=void.version, reason="wrong candles", by=packer)
    sign_in(page, packer)
    page.set_viewport_size({"width": 820, "height": 900})
    addresses = [
        reverse("packing_bench"),
        reverse("pick_list"),
        *(reverse("delivery", args=[delivery.pk]) for delivery in (on_bench, packed, void)),
        reverse("papers_of", args=[void.order.number]),
        void.note.get_absolute_url(),
    ]
    for address in addresses:
        page.goto(address)
        check_axe(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= 820, address


def test_the_bench_is_worked_by_keyboard(page, sign_in):
    packer = make_person()
    order = make_ready_order(packer, lines=(30,))
    sign_in(page, packer)
    page.goto(reverse("packing_bench"))
    page.get_by_role("button", name=f"Pack order {order.number}").press("Enter")
    page.get_by_role("link", name="Move pairs of lot").first.press("Enter")
    page.get_by_role("textbox", name="Pairs").press_sequentially("4")
    page.get_by_label("Into").press("End")
    page.get_by_role("button", name="Move", exact=True).press("Enter")
    page.get_by_text("is weighed anew").wait_for()
    page.get_by_role("button", name="Close the boxes").press("Enter")
    page.get_by_text("DN-1001 is made").wait_for()
    page.get_by_role("button", name="The van has left with it").press("Enter")
    page.get_by_text("30 pairs have left the stock").wait_for()
