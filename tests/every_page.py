"""Every address of the house, with a row it is about. Nothing here asks a page; the two tests beside it do."""

from django.urls import get_resolver, reverse

from inventory.domain.counts import start_count
from inventory.models import Colour, Shelf, Wax
from orders.models import (
    Address,
    BoxKind,
    Contact,
    Order,
    PriceList,
    SecondsPrice,
    Series,
    SetAside,
    Shop,
    ShopGroup,
    VanDay,
    VatRate,
)
from tests.every_credit_page import credit_page_rows
from tests.every_floor_page import floor_rows
from tests.every_page_rows import area_rows
from tests.every_payment_page import payment_page_rows
from tests.factories import make_lot, make_order, make_person, make_shelf
from tests.factories.prices import make_agreed, make_group, make_price_list, make_seconds_price
from tests.factories.season import Season, make_season


def every_name() -> set[str]:
    """Names of all addresses."""
    found = set()

    def walk(patterns):
        for pattern in patterns:
            if hasattr(pattern, "url_patterns"):
                walk(pattern.url_patterns)
            else:
                found.add(pattern.name)

    walk(get_resolver().url_patterns)
    return found


FILES = (".pdf", ".csv", ".xlsx", ".xml", ".zip")


def is_file(address: str) -> bool:
    """Whether the address says itself that a file comes, not a page."""
    return address.split("?", maxsplit=1)[0].endswith(FILES)


def opened(client, address: str):
    """What the client gets; a file that is sent piece by piece is read to its end, which closes it."""
    answer = client.get(address)
    if answer.streaming:
        for _ in answer:
            pass
    return answer


def every_address() -> tuple[Season, dict[str, str]]:
    """A small season, and an address for each name that fits it."""
    season = make_season()
    rows = _rows(season)
    return season, {name: reverse(name, kwargs=rows(name)) for name in sorted(every_name())}


def _rows(season: Season):
    """A function name -> the kwargs of its address."""
    shelf = make_shelf()
    make_lot(season.candle, 12, by=season.by, grade="seconds", fault="bent", code="S-1", shelf=shelf)
    make_lot(season.candle, 30, by=season.by, shelf=shelf)
    draft = make_order(season.sent.shop, [(season.candle, 6)], by=season.by, status="draft")
    special = {
        **_of_stock(season),
        **_of_sending(season),
        **_of_a_shop(season.sent.shop),
        **_of_set_up(),
        **credit_page_rows(season),
        **payment_page_rows(season),
        **floor_rows(season),
        **area_rows(season),
    }
    return lambda name: special.get(name) or _of_an_order(name, season.short, draft)


def _of_stock(season: Season) -> dict[str, dict]:
    lot, candle = {"pk": season.lot.pk}, {"pk": season.candle.pk}
    count = {"pk": start_count(shelf=None, by=season.by).pk}
    return {
        "lot": lot, "adjust": lot, "regrade": lot, "shelve": lot, "lot_holders": lot,
        "candle": candle, "candle_edit": candle,
        "stock_count": count, "stock_count_sheet": count, "stock_count_type": count, "stock_count_post": count,
        "stock_count_discard": count,
    }  # fmt: skip


def _of_sending(season: Season) -> dict[str, dict]:
    """From a line's promises to the van and the papers."""
    promise = SetAside.objects.filter(line__order=season.short).get()
    other = SetAside.objects.filter(line__order=season.packed).get()
    line, delivery = {"pk": season.short.lines.get().pk}, {"pk": season.waiting.pk}
    van_day = {"day_text": season.waiting.van_day.isoformat()}
    return {
        "order_change": line, "other_colour": line, "take_over": line,
        "release": {"line": line["pk"], "pk": promise.pk}, "take_over_from": {**line, "promise": other.pk},
        "van_day_left": van_day, "day_papers": van_day,
        "delivery": delivery, "box_move": delivery, "close_boxes": delivery, "unpack": delivery, "van_left": delivery,
        "paper": {"pk": season.waiting.note.pk}, "invoice": {"pk": season.invoice.pk},
        "books_csv": {"sheet": "day-book"},
        "e_invoice_xml": {"pk": season.invoice.paper_id}, "e_invoice_pdf": {"pk": season.invoice.paper_id},
    }  # fmt: skip


def _of_a_shop(shop: Shop) -> dict[str, dict]:
    one = {"pk": shop.pk}
    address = {**one, "address_pk": Address.objects.filter(shop=shop).first().pk}
    contact = {**one, "contact_pk": Contact.objects.create(shop=shop, name="Della Finch").pk}
    agreed = {**one, "agreed_pk": make_agreed(shop).pk}
    return {
        "agreed_new": one, "shop_trade_list": one, "agreed_edit": agreed, "agreed_remove": agreed,
        "shop": one, "shop_edit": one, "invoice_new": one, "address_new": one, "contact_new": one,
        "address_edit": address, "address_remove": address,
        "contact_edit": contact, "contact_remove": contact,
    }  # fmt: skip


def _of_set_up() -> dict[str, dict]:
    person = {"pk": make_person("packer").pk}
    people = ("person", "set_password", "set_pin", "lift_lock", "person_leaves", "person_returns")
    rows = {**dict.fromkeys(people, person), "next_number": {"pk": Series.objects.first().pk}}
    make_price_list(group=make_group())
    make_seconds_price()
    lists = {
        "price_list": PriceList, "trade_list": PriceList, "shop_group": ShopGroup, "seconds_price": SecondsPrice,
        "shelf": Shelf, "wax": Wax, "colour": Colour, "box_kind": BoxKind, "van_day": VanDay, "vat_rate": VatRate,
    }  # fmt: skip
    for name, model in lists.items():
        rows[name] = rows[f"{name}_delete"] = {"pk": model.objects.first().pk}
    return rows


def _of_an_order(name: str, order: Order, draft: Order) -> dict:
    entry = {"order_entry", "order_save", "order_paste", "order_fill", "order_confirm", "order_discard"}
    of_one = {
        "order", "order_promise", "promise_ways", "order_acknowledge", "set_aside_order", "release_order",
        "order_cancel", "order_header", "order_add", "start_packing",
        "papers_of", "pro_forma", "deposit_new",
    }  # fmt: skip
    if name in entry:
        return {"number": draft.number}
    return {"number": order.number} if name in of_one else {}
