import itertools
from datetime import date
from decimal import Decimal

from django.utils import timezone

from config.models import Person
from inventory.models import Candle, Colour, Lot, Movement, Shelf, Wax, Workshop

# Far above the numbers of the codes that tests choose themselves: IV250 would meet its like in a long run.
_serial = itertools.count(1001)
PASSWORD = "wick-and-wax-1"


def make_person(*roles: str, username: str = "", **fields) -> Person:
    """A person with the named roles; owner when none is named. Password: PASSWORD."""
    n = next(_serial)
    flags = dict.fromkeys(roles or ("owner",), True)
    fields = {"full_name": f"Person {n}", **flags, **fields}
    return Person.objects.create_person(username or f"person{n}", PASSWORD, **fields)


def make_workshop(**fields) -> Workshop:
    values = {
        "name": "Tallow Lane Candles",
        "address": "2 Tallow Lane",
        "town": "Wexcombe",
        "postcode": "ZZ1 1AA",
        "telephone": "01632 960001",
        "email": "hello@tallowlane.example",
        "vat_number": "GB999999973",
        "bank_name": "Example Bank",
        "account_name": "Tallow Lane Candles",
        "sort_code": "00-00-00",
        "account_number": "00000000",
        **fields,
    }
    return Workshop.objects.update_or_create(pk=1, defaults=values)[0]


def make_shelf(**fields) -> Shelf:
    n = next(_serial)
    return Shelf.objects.create(**{"code": f"S{n}", "walk": n, **fields})


def make_wax(**fields) -> Wax:
    n = next(_serial)
    values = {"name": f"Paraffin {n}", "density_solid": Decimal("0.900"), "density_liquid": Decimal("0.780"), **fields}
    return Wax.objects.create(**values)


def make_colour(**fields) -> Colour:
    n = next(_serial)
    return Colour.objects.create(**{"code": f"C{n}"[-4:], "name": f"Colour {n}", "hex": "#f0e3c4", **fields})


def make_candle(**fields) -> Candle:
    n = next(_serial)
    values = {
        "code": f"IV{n}",
        "name": f"Ivory taper {n}",
        "length_mm": Decimal("250"),
        "base_mm": Decimal("22"),
        "tip_mm": Decimal("16"),
        "wick": "flat braid 24 ply",
        "pairs_per_box": 24,
        "trade_price": Decimal("2.20"),
        **fields,
    }
    values.setdefault("wax", Wax.objects.first() or make_wax())
    values.setdefault("colour", Colour.objects.first() or make_colour())
    return Candle.objects.create(**values)


def make_lot(candle=None, pairs: int = 48, by=None, **fields) -> Lot:
    """A lot with `pairs` on hand, counted in by one movement."""
    n = next(_serial)
    values = {"code": f"L{n:04d}", "grade": "firsts", "made_on": date(2026, 11, 2), **fields}
    lot = Lot.objects.create(candle=candle or make_candle(), on_hand=pairs, **values)
    if pairs:
        Movement.objects.create(
            lot=lot, kind="counted in", pairs=pairs, reason="test", person=by or make_person(), at=timezone.now()
        )
    return lot
