"""Every address of the house, with a row it is about. Nothing here asks a page; the two tests beside it do."""

from django.urls import get_resolver, reverse

from inventory.domain.counts import start_count
from inventory.models import Colour, Shelf, Wax
from orders.models import Address, BoxKind, Contact, Order, Series, SetAside, VanDay, VatRate
from tests.every_floor_page import floor_rows
from tests.factories import make_lot, make_order, make_person, make_shelf
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


def every_address() -> tuple[Season, dict[str, str]]:
    """A small season, and an address for each name that fits it."""
    season = make_season()
    rows = _rows(season)
    return season, {name: reverse(name, kwargs=rows(name)) for name in sorted(every_name())}


def _rows(season: Season):
    """A function name -> the kwargs of its address."""
    by, shop = season.by, season.sent.shop
    shelf = make_shelf()
    make_lot(season.candle, 12, by=by, grade="seconds", fault="bent", code="S-1", shelf=shelf)
    make_lot(season.candle, 30, by=by, shelf=shelf)
    draft = make_order(shop, [(season.candle, 6)], by=by, status="draft")
    contact = Contact.objects.create(shop=shop, name="Della Finch")
    address = Address.objects.filter(shop=shop).first()
    promise = SetAside.objects.filter(line__order=season.short).get()
    other = SetAside.objects.filter(line__order=season.packed).get()
    line = {"pk": season.short.lines.get().pk}
    count = {"pk": start_count(shelf=None, by=by).pk}
    person = {"pk": make_person("packer").pk}
    van_day = season.waiting.van_day.isoformat()
    special = {
        "person": person, "set_password": person, "set_pin": person, "lift_lock": person,
        "person_leaves": person, "person_returns": person,
        "lot": {"pk": season.lot.pk}, "adjust": {"pk": season.lot.pk}, "regrade": {"pk": season.lot.pk},
        "shelve": {"pk": season.lot.pk}, "lot_holders": {"pk": season.lot.pk},
        "candle": {"pk": season.candle.pk}, "candle_edit": {"pk": season.candle.pk},
        "stock_count": count, "stock_count_sheet": count, "stock_count_type": count, "stock_count_post": count,
        "stock_count_discard": count,
        "order_change": line, "other_colour": line, "take_over": line,
        "release": {"line": line["pk"], "pk": promise.pk}, "take_over_from": {**line, "promise": other.pk},
        "van_day_left": {"day_text": van_day}, "day_papers": {"day_text": van_day},
        "delivery": {"pk": season.waiting.pk}, "box_move": {"pk": season.waiting.pk},
        "close_boxes": {"pk": season.waiting.pk}, "unpack": {"pk": season.waiting.pk},
        "van_left": {"pk": season.waiting.pk},
        "paper": {"pk": season.waiting.note.pk}, "invoice": {"pk": season.invoice.pk},
        "invoice_new": {"pk": shop.pk}, "shop": {"pk": shop.pk}, "shop_edit": {"pk": shop.pk},
        "address_new": {"pk": shop.pk}, "contact_new": {"pk": shop.pk},
        "address_edit": {"pk": shop.pk, "address_pk": address.pk},
        "address_remove": {"pk": shop.pk, "address_pk": address.pk},
        "contact_edit": {"pk": shop.pk, "contact_pk": contact.pk},
        "contact_remove": {"pk": shop.pk, "contact_pk": contact.pk},
    }  # fmt: skip
    set_up = {
        "shelf": Shelf,
        "wax": Wax,
        "colour": Colour,
        "box_kind": BoxKind,
        "van_day": VanDay,
        "vat_rate": VatRate,
    }
    for name, model in set_up.items():
        special[name] = special[f"{name}_delete"] = {"pk": model.objects.first().pk}
    special |= floor_rows(season)
    special["next_number"] = {"pk": Series.objects.first().pk}
    return lambda name: special.get(name) or _of_an_order(name, season.short, draft)


def _of_an_order(name: str, order: Order, draft: Order) -> dict:
    entry = {"order_entry", "order_save", "order_paste", "order_fill", "order_confirm", "order_discard"}
    of_one = {
        "order", "set_aside_order", "release_order", "order_cancel", "order_header", "order_add", "start_packing",
        "papers_of",
    }  # fmt: skip
    if name in entry:
        return {"number": draft.number}
    return {"number": order.number} if name in of_one else {}
