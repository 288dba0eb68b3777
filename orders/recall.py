"""Who has what of some lots, and what of them is still here: rows in, sums and sentences out. No Django here."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date

from inventory.words import counted, day, in_pairs


@dataclass(frozen=True)
class Contact:
    """Somebody to ring up at a shop."""

    name: str
    does: str
    telephone: str
    email: str

    @property
    def words(self) -> str:
        """ "Della Finch (orders), 01632 960123"."""
        who = f"{self.name} ({self.does})" if self.does else self.name
        return ", ".join(part for part in (who, self.telephone or self.email) if part)


@dataclass
class Gone:
    """Pairs of one lot on one delivery that left. `back` of them were taken back since. `why` is set where they may
    hold traces only."""

    shop_id: int
    shop: str
    delivery_id: int
    note: str
    order: int
    reference: str
    left_on: date
    candle: str
    lot_id: int
    lot: str
    grade: str
    pairs: int
    boxes: list[str] = field(default_factory=list)
    back: int = 0
    why: str = ""


@dataclass
class Carried:
    """What one delivery brought."""

    note: str
    left_on: date
    rows: list[Gone] = field(default_factory=list)

    @property
    def contents(self) -> str:
        """ "IV250: F26-1125-01 (12), F26-1125-02 (24); RD250: F26-1120-04 (6)": lots as the boxes name them."""
        by_candle: dict[str, list[str]] = {}
        for row in self.rows:
            by_candle.setdefault(row.candle, []).append(f"{row.lot} ({row.pairs})")
        return "; ".join(f"{candle}: {', '.join(lots)}" for candle, lots in by_candle.items())

    @property
    def boxes(self) -> str:
        """ "boxes 1, 2" of the delivery."""
        numbers = sorted({int(number.rpartition("/")[2]) for row in self.rows for number in row.boxes})
        return f"{'box' if len(numbers) == 1 else 'boxes'} {', '.join(map(str, numbers))}"

    @property
    def pairs(self) -> str:
        back = sum(row.back for row in self.rows)
        return in_pairs(sum(row.pairs for row in self.rows)) + (f", {back:,} of them came back" if back else "")


@dataclass
class Rung:
    """A shop to ring up, and whom to ask for."""

    shop_id: int
    shop: str
    contacts: Sequence[Contact]

    @property
    def whom(self) -> str:
        return "; ".join(contact.words for contact in self.contacts) or "no telephone in the book"


@dataclass
class Brief(Rung):
    """What a shop may have, in one line: pairs not given back, on so many deliveries that left between two days."""

    pairs: int
    deliveries: int
    first: date
    last: date

    @property
    def span(self) -> str:
        return day(self.first) if self.first == self.last else f"{day(self.first)} to {day(self.last)}"


@dataclass
class Call(Rung):
    """All that a shop has, by delivery, the earliest first."""

    rows: list[Gone] = field(default_factory=list)

    @property
    def pairs(self) -> int:
        """Pairs it was sent and has not given back."""
        return sum(row.pairs - row.back for row in self.rows)

    @property
    def carried(self) -> list[Carried]:
        """What each delivery brought, in a line or two."""
        found: dict[int, Carried] = {}
        for row in self.rows:
            found.setdefault(row.delivery_id, Carried(row.note, row.left_on)).rows.append(row)
        return list(found.values())


def calls(rows: Iterable[Gone], contacts: dict[int, Sequence[Contact]]) -> list[Call]:
    """Whom to ring up, whoever has most of it first."""
    found: dict[int, Call] = {}
    for row in sorted(rows, key=lambda row: (row.left_on, row.note, row.lot)):
        call = found.setdefault(row.shop_id, Call(row.shop_id, row.shop, contacts.get(row.shop_id, ())))
        call.rows.append(row)
    return sorted(found.values(), key=lambda call: (-call.pairs, call.shop))


@dataclass(frozen=True)
class Kept:
    """Pairs of a lot in the stockroom. `promised`: to whom, packed or not, in words."""

    lot_id: int
    lot: str
    candle: str
    shelf: str
    pairs: int
    promised: str


def recall_sentence(what: str, gone: Sequence[Gone], kept: int, hanging: int = 0) -> str:
    """ "Lot F26-1125-03: 36 pairs went to 3 shops on 4 deliveries; 12 are here." `what` names what is traced.

    `kept`: pairs in the stockroom; `hanging`: frames not counted off yet.
    """
    out = sum(row.pairs - row.back for row in gone)
    shops, deliveries = len({row.shop_id for row in gone}), len({row.delivery_id for row in gone})
    parts = []
    if gone:
        went = f"{in_pairs(sum(row.pairs for row in gone))} went to {counted(shops, 'shop')}"
        went += f" on {counted(deliveries, 'delivery', 'deliveries')}"
        back = sum(row.back for row in gone)
        parts.append(
            went + (f", {back:,} of them came back" if back and out else ", and all came back" if back else "")
        )
    else:
        parts.append("nothing of it has left the house")
    if kept:
        here, lie = ("is", "lies") if kept == 1 else ("are", "lie")
        parts.append(f"{kept:,} {here} here" if gone else f"{in_pairs(kept)} {lie} here")
    elif gone:
        parts.append("none is left here")
    if hanging:
        parts.append(f"{counted(hanging, 'frame')} of it {'is' if hanging == 1 else 'are'} on the floor")
    return f"{what}: {'; '.join(parts)}."


TRACES = {
    "vat": "hung over the same vat before its next change-over",
    "remelt": "drew remelt in which such candles had been melted down",
    "unknown": "drew the same material when the book had no lot of it left",
}


def traces_in_words(ways: Iterable[str], *, pairs_here: int = 0, on_floor: Sequence[str] = ()) -> str:
    """ "14 more frames may hold traces of it: 12 hung over the same vat before its next change-over, 2 drew ... . 96
    pairs of them lie here, and F1556 and F1557 are on the floor." `on_floor`: codes of frames not counted off."""
    ways = list(ways)
    if not ways:
        return "No other frame may hold traces of it."
    parts = [f"{ways.count(way):,} {words}" for way, words in TRACES.items() if way in ways]
    here = [f"{in_pairs(pairs_here)} of them {'lies' if pairs_here == 1 else 'lie'} here"] if pairs_here else []
    if on_floor:
        *rest, last = on_floor
        named = f"{', '.join(rest)} and {last} are" if rest else f"{last} is"
        here.append(f"{named} on the floor")
    said = f"{counted(len(ways), 'more frame')} may hold traces of it: {', '.join(parts)}."
    return f"{said} {', and '.join(here)}." if here else said
