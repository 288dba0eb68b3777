"""The kinds of sheets that are brought in, by the name `load_sheet` knows them by."""

from inventory.domain.candle_sheet import CANDLES
from orders.domain.sheets.orders import ORDERS
from orders.domain.sheets.shops import SHOPS
from orders.domain.sheets.stock import STOCK

KINDS = {kind.key: kind for kind in (CANDLES, SHOPS, STOCK, ORDERS)}
