"""The pages on which what a history left behind is looked at: none may fail, whatever it was."""

from django.test import Client
from django.urls import reverse

from tests.histories.model import Model

LISTS = (
    "today", "order_book", "stockroom", "lots", "packing_bench", "pick_list", "seconds_shelf", "seconds_lots",
    "seconds_boxes", "ledger", "debts", "day_book", "vat_summary", "receipts", "dip_list", "floor", "threaded",
    "frames_to_grade", "faults", "materials", "wax_balance", "material_needs", "shops", "season", "dip_plan",
)  # fmt: skip
AT_ONCE = 3  # pages a history: another history opens the next ones


def addresses(model: Model, turn: int) -> list[str]:
    """Some of the lists, and of some kinds of things one; the next turn has the next."""
    numbers, shops = [order.number for order in model.orders.values()], {one.shop for one in model.orders.values()}
    rows = {
        "order": numbers, "papers_of": numbers, "shop_ledger": shops,
        "delivery": model.deliveries, "lot": model.lots, "frame": model.frames, "invoice": model.invoices,
        "payment": model.payments, "seconds_box": model.boxes,
    }  # fmt: skip
    things = [(name, sorted(keys)) for name, keys in rows.items() if keys]
    found = [reverse(LISTS[(turn * AT_ONCE + n) % len(LISTS)]) for n in range(AT_ONCE)]
    for n in range(AT_ONCE):
        name, keys = things[(turn * AT_ONCE + n) % len(things)]
        found.append(reverse(name, args=[keys[turn % len(keys)]]))
    return found


def open_pages(client: Client, model: Model, turn: int) -> None:
    for address in addresses(model, turn):
        answer = client.get(address, follow=True)
        assert answer.status_code == 200, f"{address}: {answer.status_code}"
