from inventory.models.candle import Candle, Colour, Wax
from inventory.models.count import StockCount, StockCountRow
from inventory.models.label import LabelSheet
from inventory.models.lot import FIRSTS, GRADES, SECONDS, Lot, Movement
from inventory.models.material import (
    BlendPart,
    DyePart,
    Material,
    MaterialLot,
    MaterialMovement,
    Purchase,
    Supplier,
)
from inventory.models.record import Record
from inventory.models.sheet import SheetFile, SheetMapping
from inventory.models.workshop import Shelf, Workshop

__all__ = [
    "FIRSTS",
    "GRADES",
    "SECONDS",
    "BlendPart",
    "Candle",
    "Colour",
    "DyePart",
    "LabelSheet",
    "Lot",
    "Material",
    "MaterialLot",
    "MaterialMovement",
    "Movement",
    "Purchase",
    "Record",
    "SheetFile",
    "SheetMapping",
    "Shelf",
    "StockCount",
    "StockCountRow",
    "Supplier",
    "Wax",
    "Workshop",
]
