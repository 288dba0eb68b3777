"""Sixty invented shops of an invented county, with every kind of terms among them."""

import random
from decimal import Decimal

from stdnum.gb import vat

from orders.models import Address, Contact, Shop

TOWNS = (
    "Wexcombe", "Orrin Bay", "Little Marrow", "Port Hallow", "Netherquill", "Abbotmarsh", "Saltfold", "Upper Quill",
    "Brackenmere", "Dunfallow", "Larkhythe", "Stonewether",
)  # fmt: skip
FIRST = (
    "Abbotmarsh", "Bellhythe", "Crookgate", "Dunfallow", "Emberley", "Fallowgate", "Gorsewick", "Hobblane",
    "Ivelmouth", "Jackdaw Steps", "Kettlewharf", "Larkhythe", "Marrowfield", "Netherquill", "Orrin Quay",
    "Pellmarsh", "Quillside", "Rushcandle", "Saltfold", "Tandle Cross", "Underfell",
    "Vennbridge", "Wexcombe", "Yarrowstone",
)  # fmt: skip
SECOND = ("Pantry", "Stores", "Homewares", "Lamp Room", "Gifts", "Chapel Supplies", "Farm Shop", "Deli", "Ironmongers")
STREETS = ("Tanner Row", "Fish Street", "Chapel Rise", "Market Place", "Quay Side", "Mill Lane", "High Pavement")
NAMES = (
    "Ansel Birch", "Bridie Coe", "Corin Dale", "Della Finch", "Ewan Gorse", "Fenna Holt", "Gil Iver", "Hattie Jolly",
    "Ike Kember", "Juno Larch", "Kit Mallow", "Lena Nash", "Milo Orrin", "Nessa Pym", "Otis Quill", "Petra Rusk",
)  # fmt: skip
ABROAD = 50  # a shop across the water, in the EU: what goes there is an export


def make_shops(rng: random.Random) -> list[Shop]:
    """Sixty shops with addresses and contacts. The first few carry the terms that make packing interesting."""
    names = [f"{first} {second}" for first in FIRST for second in SECOND]
    rng.shuffle(names)
    shops = []
    for serial, name in enumerate(names[:60], start=1):
        shop = Shop(name=name, town=TOWNS[serial % len(TOWNS)], **_terms(serial, rng))
        shop.full_clean()
        shop.save()
        _put_people(shop, serial, rng)
        shops.append(shop)
    return shops


def _terms(serial: int, rng: random.Random) -> dict:
    terms = {
        "rank": rng.choice((3, 4, 5, 5, 5, 6, 7)),
        "discount": Decimal(rng.choice((0, 0, 0, 5, 5, 10))),
        "terms_days": rng.choice((14, 30, 30, 30, 60)),
        "carriage": Decimal(rng.choice(("0", "8.50", "8.50", "12.00"))),
        "carriage_free_above": Decimal(rng.choice(("150.00", "250.00"))),
        "complete_only": serial % 6 == 0,
        "reference_required": serial % 5 == 0,
        "other_colour": ("no", "ask", "ask", "yes")[serial % 4],
        "vat_number": _vat_number(serial) if serial % 3 else "",
        "credit_limit": Decimal(rng.choice((1500, 2500, 5000))) if serial % 2 else None,
        "packer_notes": "Ring the yard bell at the back; the front steps are narrow." if serial % 9 == 0 else "",
    }
    if serial % 10 == 3:
        terms |= {"carriage": Decimal("6.50"), "carriage_by": "weight", "carriage_kilos": 10}
    if serial % 10 == 8:
        terms |= {"carriage": Decimal("3.75"), "carriage_by": "box"}
    if serial % 4 == 1:
        terms |= {"minimum_order": Decimal(75)}
    if serial == 7:
        terms |= {"on_stop": True, "stop_reason": "October's invoice unpaid, promised for the 30th"}
    if serial in {11, 37}:
        terms |= {"pro_forma_first": True}
    if serial == ABROAD:
        terms |= {"vat_number": ""}
    if serial % 12 == 6:
        terms |= {"prompt_percent": Decimal("2.5"), "prompt_days": 7}
    return terms


def _vat_number(serial: int) -> str:
    """A number whose check digits fit, out of a block that is given to nobody as far as we know."""
    stem = f"99990{serial:02d}"
    return next(f"GB{stem}{check:02d}" for check in range(97) if vat.is_valid(f"GB{stem}{check:02d}"))


def _put_people(shop: Shop, serial: int, rng: random.Random) -> None:
    place = {"town": shop.town, "postcode": f"ZZ{serial % 20 + 1} {serial % 9 + 1}QX"}
    if serial == ABROAD:
        place |= {"country": "IE"}
    street = f"{rng.randint(1, 60)} {rng.choice(STREETS)}"
    Address.objects.create(shop=shop, kind="delivery", label="Shop", lines=street, usual=True, **place)
    if serial % 8 == 0:
        Address.objects.create(shop=shop, kind="delivery", label="Store", lines=f"Unit 3, {street}", **place)
    if serial % 4 == 0:
        Address.objects.create(
            shop=shop, kind="invoice", label="Accounts", lines=f"PO Box {serial}", usual=True, **place
        )
    name = NAMES[serial % len(NAMES)]
    Contact.objects.create(
        shop=shop, name=name, does="buying", telephone=f"01632 960{100 + serial:03d}",
        email=f"{name.split()[0].lower()}@shop{serial}.example",
    )  # fmt: skip
