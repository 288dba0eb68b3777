"""Nine real months of a seller to shops, read and mapped by rule onto the words of this house. No Django here.

The set is "Online Retail" (Chen, Sain and Guo 2012, doi 10.1057/dbm.2012.17; UCI Machine Learning Repository, CC BY
4.0), its rows with a customer from December 2010 to August 2011. It lies beside the clone and is never part of it.

The rule: a customer is a shop and an item a candle, a unit is a pair, and prices are as they are. An order is an
invoice of digits only; of it those rows count that name an item (five digits, then letters or none), more than no
units and a price. An invoice that begins with C cancels: each of its rows takes its units off the newest rows of the
same customer and item that have some left; what finds none was bought before the set begins.
"""

import csv
import gzip
import re
from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path

ITEM = re.compile(r"\d{5}[A-Z]*", re.IGNORECASE)
FILE = Path("shared", "data", "online_retail_dec2010_aug2011.csv.gz")
# Countries as the set writes them: ISO 3166. What is not here is taken for home.
COUNTRIES = {
    "Germany": "DE", "France": "FR", "EIRE": "IE", "Spain": "ES", "Netherlands": "NL", "Belgium": "BE",
    "Switzerland": "CH", "Australia": "AU", "Portugal": "PT", "Norway": "NO", "Finland": "FI", "Italy": "IT",
    "Cyprus": "CY", "Sweden": "SE", "Japan": "JP", "Austria": "AT", "Poland": "PL", "Denmark": "DK", "Singapore": "SG",
}  # fmt: skip


@dataclass(frozen=True)
class Wanted:
    """One row of an order: `pairs` of an item at a price a pair."""

    item: str
    pairs: int
    price: Decimal


@dataclass(frozen=True)
class Asked:
    """One order of one shop on one day."""

    number: str
    shop: str
    day: date
    rows: tuple[Wanted, ...]

    @property
    def pairs(self) -> int:
        return sum(row.pairs for row in self.rows)


@dataclass(frozen=True)
class TakenOff:
    """One cancellation: by order number the row (from 0) and the pairs that are called off or come back."""

    number: str
    shop: str
    day: date
    parts: dict[str, dict[int, int]]


@dataclass(frozen=True)
class Months:
    """`left_out`: rows by why they are none of an order. `usual`: the price each item has most often."""

    orders: list[Asked]
    taken_off: list[TakenOff]
    abroad: dict[str, str]
    usual: dict[str, Decimal]
    left_out: Counter


def find_file(clone: Path) -> Path | None:
    """The set beside a clone; None where it is not there."""
    path = clone.resolve().parent / FILE
    return path if path.exists() else None


def read(path: Path, *, days: int | None = None, every: int = 1) -> Months:
    """The set in the order of its days. `days`: only so many of the first; `every`: only each so-manieth order."""
    with gzip.open(path, "rt", newline="") as lines:
        rows = list(csv.DictReader(lines))
    left_out: Counter = Counter()
    orders = _orders(rows, left_out)[::every]
    if days is not None:
        kept = set(sorted({order.day for order in orders})[:days])
        orders = [order for order in orders if order.day in kept]
    taken_off = _taken_off(rows, orders, left_out)
    abroad = {row["CustomerID"]: COUNTRIES[row["Country"]] for row in rows if row["Country"] in COUNTRIES}
    return Months(orders, taken_off, abroad, _usual(orders), left_out)


def _orders(rows: list[dict], left_out: Counter) -> list[Asked]:
    found: dict[str, list[Wanted]] = defaultdict(list)
    of: dict[str, dict] = {}
    for row in rows:
        number = row["InvoiceNo"]
        if not number.isdecimal():
            continue
        pairs, price = int(row["Quantity"]), Decimal(row["UnitPrice"])
        if not ITEM.fullmatch(row["StockCode"]):
            left_out["no item (postage, charges)"] += 1
        elif pairs <= 0 or price <= 0:
            left_out["without units or price"] += 1
        else:
            found[number].append(Wanted(row["StockCode"].upper(), pairs, price))
            of.setdefault(number, row)
    orders = [
        Asked(number, of[number]["CustomerID"], _day(of[number]), tuple(wanted)) for number, wanted in found.items()
    ]
    return sorted(orders, key=lambda order: (of[order.number]["InvoiceDate"], order.number))


def _taken_off(rows: list[dict], orders: Iterable[Asked], left_out: Counter) -> list[TakenOff]:
    """Cancellations in the order of their days, each row against the newest earlier rows of its shop and item."""
    bought = defaultdict(list)
    for order in orders:
        for place, row in enumerate(order.rows):
            bought[order.shop, row.item].append([order.day, order.number, place, row.pairs])
    found: dict[str, TakenOff] = {}
    for row in sorted((row for row in rows if row["InvoiceNo"].startswith("C")), key=lambda row: row["InvoiceDate"]):
        number, shop, on = row["InvoiceNo"], row["CustomerID"], _day(row)
        need = -int(row["Quantity"])
        for line in reversed(bought[shop, row["StockCode"].upper()]):
            if line[0] <= on and (pairs := min(need, line[3])) > 0:
                one = found.setdefault(number, TakenOff(number, shop, on, {}))
                parts = one.parts.setdefault(line[1], {})
                parts[line[2]] = parts.get(line[2], 0) + pairs
                line[3] -= pairs
                need -= pairs
        if need > 0:
            left_out["cancelled, and not bought in these months"] += 1
    return list(found.values())


def _usual(orders: Iterable[Asked]) -> dict[str, Decimal]:
    prices: dict[str, Counter] = defaultdict(Counter)
    for order in orders:
        for row in order.rows:
            prices[row.item][row.price] += 1
    return {item: counted.most_common(1)[0][0] for item, counted in prices.items()}


def _day(row: dict) -> date:
    return date.fromisoformat(row["InvoiceDate"][:10])
