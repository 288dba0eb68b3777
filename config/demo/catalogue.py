"""The demo workshop itself: invented throughout. Fictional town, drama telephone numbers, restricted-range GTINs."""

from decimal import Decimal

from stdnum import ean

from inventory.models import Candle, Colour, Shelf, Wax, Workshop
from orders.models import BoxKind, VanDay

WORKSHOP = {
    "name": "Candleyard at Wexcombe",
    "address": "The Old Chandlery\n2 Tallow Lane",
    "town": "Wexcombe",
    "postcode": "ZZ1 1AA",
    "telephone": "01632 960114",
    "email": "yard@candleyard.example",
    "returns_address": "The Old Chandlery, yard door\n2 Tallow Lane, Wexcombe ZZ1 1AA",
    "vat_number": "GB999999973",
    "bank_name": "Bank of Examples",
    "account_name": "Candleyard at Wexcombe",
    "sort_code": "00-00-00",
    "account_number": "01234567",
    "firelighter_price": Decimal("4.50"),
}
SHELVES = (
    ("A1", "tapers, light"), ("A2", "tapers, dark"), ("B1", "dinner, light"), ("B2", "dinner, dark"),
    ("C1", "slim tapers and small"), ("D1", "church, on the floor"), ("E1", "beeswax"), ("S1", "seconds"),
)  # fmt: skip
# Name: density solid, density molten in g/cm3. Ranges: handbook values named in tests/outside/test_wax.py.
WAXES = {
    "Paraffin, dipping blend": ("0.900", "0.780"),
    "Stearin blend": ("0.915", "0.800"),
    "Beeswax": ("0.960", "0.830"),
}
COLOURS = {
    "IV": ("Ivory", "#f0e3c4"), "WH": ("White", "#fbf9f3"), "RD": ("Winter red", "#9a2a26"),
    "MS": ("Moss", "#5d6b38"), "PL": ("Plum", "#5b2f49"), "NV": ("Night blue", "#28344f"),
    "OC": ("Ochre", "#c78a2c"), "SL": ("Slate", "#6c7378"), "RS": ("Rose", "#c98a88"),
    "SG": ("Sage", "#a3ad8f"), "RU": ("Rust", "#a4552f"), "BW": ("Honey", "#dba23a"),
}  # fmt: skip
# Kind: length, base, tip in mm, wick, pairs to a standard box, trade price a pair.
SHAPES = {
    "taper": (250, 22, 16, "flat 24 ply", 24, "2.20"),
    "dinner": (180, 20, 16, "flat 24 ply", 36, "1.90"),
    "slim taper": (260, 12, 9, "flat 15 ply", 60, "1.45"),
    "stub": (100, 30, 27, "flat 30 ply", 24, "2.30"),
}
PARAFFIN = {
    "taper": ("IV", "WH", "RD", "MS", "PL", "NV", "OC", "SL", "RS", "SG", "RU"),
    "dinner": ("IV", "WH", "RD", "MS", "PL", "NV", "OC", "SL", "RS", "SG"),
    "slim taper": ("IV", "WH", "RD", "MS", "NV", "RU"),
    "stub": ("IV", "WH", "RD", "MS", "OC"),
}
# Code, name, wax, colour, length, base, tip, wick, pairs to a box, price, shelf.
OTHERS = (
    ("BW300", "Beeswax taper 300 x 22", "Beeswax", "BW", 300, 22, 15, "square 2/0", 20, "6.90", "E1"),
    ("BW250", "Beeswax taper 250 x 22", "Beeswax", "BW", 250, 22, 16, "square 2/0", 24, "6.10", "E1"),
    ("BW180", "Beeswax dinner 180 x 20", "Beeswax", "BW", 180, 20, 16, "square 1/0", 36, "4.55", "E1"),
    ("BW100", "Beeswax stub 100 x 30", "Beeswax", "BW", 100, 30, 27, "square 2", 24, "5.80", "E1"),
    ("BW120", "Beeswax birthday 120 x 7", "Beeswax", "BW", 120, 7, 5, "flat 12 ply", 120, "1.10", "C1"),
    ("BW400", "Beeswax church 400 x 35", "Beeswax", "BW", 400, 35, 33, "square 4", 6, "24.50", "D1"),
    ("ST180", "Stearin white dinner 180 x 20", "Stearin blend", "WH", 180, 20, 16, "flat 24 ply", 36, "2.05", "B1"),
    ("ST250", "Stearin white taper 250 x 22", "Stearin blend", "WH", 250, 22, 16, "flat 24 ply", 24, "2.40", "A1"),
    ("ST300", "Stearin white taper 300 x 22", "Stearin blend", "WH", 300, 22, 15, "flat 24 ply", 20, "2.75", "A1"),
    ("CH300", "Church white 300 x 30", "Stearin blend", "WH", 300, 30, 28, "square 4", 10, "5.60", "D1"),
    ("CH450", "Church white 450 x 40", "Stearin blend", "WH", 450, 40, 38, "square 6", 4, "13.20", "D1"),
    ("CH600", "Church white 600 x 50", "Stearin blend", "WH", 600, 50, 48, "square 8", 2, "27.00", "D1"),
    ("HH200", "Household white 200 x 24", "Stearin blend", "WH", 200, 24, 22, "flat 30 ply", 24, "2.10", "B1"),
)  # fmt: skip
# Name, inside length, width, height (mm), empty (g), limit with box (g), standard?
BOX_KINDS = (
    ("Short box", 280, 230, 130, 190, 12_000, False),
    ("Standard box", 320, 240, 160, 240, 14_000, True),
    ("Long box", 470, 260, 180, 420, 16_000, False),
    ("Altar box", 640, 260, 160, 520, 16_000, False),
)
LIGHT = {"IV", "WH", "RS", "SG", "OC"}


def make_house() -> list[Candle]:
    """Workshop, shelves, waxes, colours, candles, boxes and van days; returns the candles."""
    Workshop.objects.update_or_create(pk=1, defaults=WORKSHOP)
    shelves = {
        code: Shelf.objects.create(code=code, note=note, walk=walk) for walk, (code, note) in enumerate(SHELVES, 1)
    }
    waxes = {
        name: Wax.objects.create(name=name, density_solid=Decimal(solid), density_liquid=Decimal(molten))
        for name, (solid, molten) in WAXES.items()
    }
    colours = {code: Colour.objects.create(code=code, name=name, hex=hex_) for code, (name, hex_) in COLOURS.items()}
    for name, length, width, height, tare, limit, standard in BOX_KINDS:
        BoxKind.objects.create(
            name=name,
            length_mm=length,
            width_mm=width,
            height_mm=height,
            tare_g=tare,
            limit_g=limit,
            standard=standard,
        )
    VanDay.objects.create(weekday=1, note="coast round")
    VanDay.objects.create(weekday=3, note="inland round")
    rows = [*_paraffin_rows(), *OTHERS]
    for serial, row in enumerate(rows, start=1):
        code, name, wax, colour, length, base, tip, wick, per_box, price, shelf = row
        Candle.objects.create(
            code=code, name=name, wax=waxes[wax], colour=colours[colour], length_mm=length, base_mm=base, tip_mm=tip,
            wick=wick, pairs_per_box=per_box, trade_price=Decimal(price), shelf=shelves[shelf], gtin=_gtin(serial),
        )  # fmt: skip
    return list(Candle.objects.select_related("wax", "colour", "shelf"))


def _paraffin_rows():
    for kind, codes in PARAFFIN.items():
        length, base, tip, wick, per_box, price = SHAPES[kind]
        for colour in codes:
            row = {"taper": "A", "dinner": "B"}.get(kind)
            shelf = "C1" if row is None else f"{row}{1 if colour in LIGHT else 2}"
            name = f"{COLOURS[colour][0]} {kind} {length} x {base}"
            yield (
                f"{colour}{length}",
                name,
                "Paraffin, dipping blend",
                colour,
                length,
                base,
                tip,
                wick,
                per_box,
                price,
                shelf,
            )


def _gtin(serial: int) -> str:
    """A GTIN-13 of the restricted range 20 to 29, which means nothing outside the house."""
    digits = f"2900000{serial:05d}"
    return digits + ean.calc_check_digit(digits)
