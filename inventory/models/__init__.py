from inventory.models.candle import Candle, Colour, Wax
from inventory.models.count import StockCount, StockCountRow
from inventory.models.lot import FIRSTS, GRADES, SECONDS, Lot, Movement
from inventory.models.record import Record
from inventory.models.workshop import Shelf, Workshop

__all__ = [
    "FIRSTS",
    "GRADES",
    "SECONDS",
    "Candle",
    "Colour",
    "Lot",
    "Movement",
    "Record",
    "Shelf",
    "StockCount",
    "StockCountRow",
    "Wax",
    "Workshop",
]
