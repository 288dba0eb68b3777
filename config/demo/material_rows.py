"""What the demo's candles are made of and packed in, and who sells it. Invented; shares and doses are plausible."""

from dataclasses import dataclass
from decimal import Decimal

# Name: e-mail, telephone, days from order to delivery.
SUPPLIERS = {
    "Port Hallow Waxes": ("orders@porthallowwaxes.example", "01632 960941", 6),
    "Marrow Moor Bee Farm": ("hives@marrowmoor.example", "01632 960942", 21),
    "Orrin Dye House": ("dyes@orrindyehouse.example", "01632 960943", 10),
    "Hexley Wick Mill": ("mill@hexleywick.example", "01632 960944", 12),
    "Carrick Board Works": ("sales@carrickboard.example", "01632 960945", 8),
}
PARAFFIN, STEARIN, BEESWAX = "Paraffin 58/60, pellets", "Stearin, vegetable", "Beeswax, yellow"
# Wax: shares of its materials, per cent by weight.
BLENDS = {
    "Paraffin, dipping blend": {PARAFFIN: "80", STEARIN: "20"},
    "Stearin blend": {PARAFFIN: "60", STEARIN: "40"},
    "Beeswax": {BEESWAX: "100"},
}
# Colour: grams of dye to a kilogram of wax. White and honey are the wax itself.
DYES = {
    "IV": {"yellow": "0.3", "brown": "0.05"}, "RD": {"red": "3"}, "MS": {"green": "2", "brown": "0.5"},
    "PL": {"red": "1.6", "blue": "1.2"}, "NV": {"blue": "3.5", "black": "0.4"}, "OC": {"yellow": "2", "brown": "0.6"},
    "SL": {"black": "1", "blue": "0.3"}, "RS": {"red": "0.6"}, "SG": {"green": "0.7", "black": "0.1"},
    "RU": {"red": "1.2", "brown": "1.4"},
}  # fmt: skip


@dataclass(frozen=True)
class Bought:
    """One material as the demo buys it; figures in kg, m or pieces, `price` GBP for one of them.

    A delivery is `lot`; the next comes before less than `reserve` is left; `today` lies there at least.
    """

    name: str
    kind: str
    supplier: str
    pack: float
    keep: float
    lot: float
    reserve: float
    price: str
    today: float = 0

    @property
    def code(self) -> str:
        """As the supplier calls it."""
        return "".join(word[:3] for word in self.name.replace(",", "").replace("/", " ").split()).upper()

    @property
    def a_unit(self) -> Decimal:
        return Decimal(self.price)


WAXES = (
    Bought(PARAFFIN, "wax", "Port Hallow Waxes", 250, 200, 500, 450, "1.95", 950),
    Bought(STEARIN, "wax", "Port Hallow Waxes", 100, 60, 200, 130, "2.60", 300),
    Bought(BEESWAX, "wax", "Marrow Moor Bee Farm", 100, 100, 250, 280, "9.80", 500),
)
DYE_FLAKES = tuple(
    Bought(f"Dye flakes, {name}", "dye", "Orrin Dye House", 0.5, 0.3, 2, 0.3, price, 0.5)
    for name, price in (
        ("yellow", "38"),
        ("brown", "36"),
        ("red", "44"),
        ("green", "46"),
        ("blue", "45"),
        ("black", "34"),
    )
)
# As candles name their wick: metres in a delivery, GBP a metre.
WICKS = tuple(
    Bought(f"Wick, {name}", "wick", "Hexley Wick Mill", 250, keep, lot, keep, price)
    for name, lot, keep, price in (
        ("flat 12 ply", 250, 60, "0.036"), ("flat 15 ply", 1000, 400, "0.041"), ("flat 24 ply", 3000, 1200, "0.052"),
        ("flat 30 ply", 500, 120, "0.061"), ("square 1/0", 250, 80, "0.068"), ("square 2/0", 500, 200, "0.064"),
        ("square 2", 250, 40, "0.074"), ("square 4", 250, 80, "0.092"), ("square 6", 250, 60, "0.115"),
        ("square 8", 250, 60, "0.138"),
    )
)  # fmt: skip
LABEL = "Box label 100 x 60"
BOXES = tuple(
    Bought(name, "box", "Carrick Board Works", 25, keep, lot, keep, price)
    for name, lot, keep, price in (
        ("Short box", 50, 10, "0.58"), ("Standard box", 75, 15, "0.71"), ("Long box", 75, 20, "1.06"),
        ("Altar box", 200, 60, "1.24"),
    )
)  # fmt: skip
LABELS = (Bought(LABEL, "label", "Carrick Board Works", 500, 250, 500, 250, "0.028"),)
MATERIALS = (*WAXES, *DYE_FLAKES, *WICKS, *BOXES, *LABELS)
# Spoilt not long ago, so that less than is always kept is left: what, down to how much, why.
SPOILT = ("Wick, flat 15 ply", 330, "Two reels got wet under the skylight.")
UNDER_WAY = ("Stearin, vegetable", 200)
