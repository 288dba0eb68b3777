"""The demo's materials: who sells them, a year of their lots, and what every frame and box of the year drew.

Written in bulk behind the frames and boxes there are, oldest lot first as the domain does it; from here on the domain
draws by itself.
"""

import random
import uuid
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from decimal import Decimal

from django.utils import timezone

from config.demo.lots import BATCH, at
from config.demo.material_rows import BLENDS, DYES, LABEL, MATERIALS, SPOILT, SUPPLIERS, UNDER_WAY, Bought
from inventory.domain.buying import order_material
from inventory.domain.material_lots import adjust_material_lot
from inventory.material_words import BOUGHT_IN
from inventory.models import (
    BlendPart,
    Candle,
    Colour,
    DyePart,
    Material,
    MaterialLot,
    MaterialMovement,
    Purchase,
    Supplier,
    Wax,
)  # fmt: skip
from orders.models import Box, BoxKind, BoxUse
from production.models import Frame, FrameKind, FrameUse
from production.models.frame import GRADED
from production.wax_drawn import drawn_for, frame_grams, wick_mm

PENNY = Decimal("0.01")
AHEAD = (1, 2, 3, 5)  # days a delivery comes before it is needed


def write_materials(rng: random.Random, *, today: date, owner) -> None:
    """Everything of materials up to `today`, and from now on candles and boxes draw from stock."""
    materials = _make_materials()
    draws = [*_of_frames(), *_of_boxes()]
    stores = {row.name: _Store(rng, materials[row.name], row, owner) for row in MATERIALS}
    for draw in sorted(draws, key=lambda draw: draw.at):
        stores[draw.material.name].draw(draw)
    for store in stores.values():
        store.fill_up(today)
    _write(stores.values(), rng)
    _what_is_new(materials, today, owner)


def _make_materials() -> dict[str, Material]:
    """By name; what candles, colours, waxes and boxes draw is written down with them."""
    suppliers = {
        name: Supplier.objects.create(name=name, email=email, telephone=telephone, lead_days=days)
        for name, (email, telephone, days) in SUPPLIERS.items()
    }
    rows = [
        Material(
            name=row.name, kind=row.kind, supplier=suppliers[row.supplier], supplier_code=row.code,
            pack=_in_book(row, row.pack), keep=_in_book(row, row.keep),
        )
        for row in MATERIALS
    ]  # fmt: skip
    materials = {row.name: row for row in Material.objects.bulk_create(rows)}
    waxes = {wax.name: wax for wax in Wax.objects.all()}
    BlendPart.objects.bulk_create(
        BlendPart(wax=waxes[wax], material=materials[name], percent=Decimal(percent))
        for wax, parts in BLENDS.items()
        for name, percent in parts.items()
    )
    colours = {colour.code: colour for colour in Colour.objects.all()}
    DyePart.objects.bulk_create(
        DyePart(colour=colours[code], material=materials[f"Dye flakes, {name}"], grams_a_kilo=Decimal(grams))
        for code, parts in DYES.items()
        for name, grams in parts.items()
    )
    for wick in {candle.wick for candle in Candle.objects.all()}:
        Candle.objects.filter(wick=wick).update(wick_of=materials[f"Wick, {wick}"])
    for kind in BoxKind.objects.all():
        BoxKind.objects.filter(pk=kind.pk).update(material=materials[kind.name], label=materials[LABEL])
    return materials


def _in_book(row: Bought, figure: float) -> int:
    return round(figure * BOUGHT_IN[Material(kind=row.kind).unit][1])


@dataclass(frozen=True, slots=True)
class Draw:
    """So much of a material drawn: by a frame in a run, or by a box."""

    at: datetime
    material: Material
    amount: int
    reference: str
    person: int
    frame: int | None = None
    run: int | None = None
    box: int | None = None


def _of_frames() -> Iterable[Draw]:
    """Wick, wax and dye of every graded frame there is."""
    candles = {row.pk: row for row in Candle.objects.select_related("wax", "wick_of")}
    kinds = FrameKind.objects.in_bulk()
    blends, dyes = defaultdict(dict), defaultdict(dict)
    for part in BlendPart.objects.select_related("material"):
        blends[part.wax_id][part.material] = part.percent
    for part in DyePart.objects.select_related("material"):
        dyes[part.colour_id][part.material] = part.grams_a_kilo
    amounts = {}
    frames = Frame.objects.filter(state=GRADED).values_list(
        "pk", "code", "candle", "kind", "hung", "threaded_at", "threaded_by", "grading__at", "grading__person",
        "runs__run",
    )  # fmt: skip
    for pk, code, candle_id, kind, hung, threaded, threader, graded, grader, run in frames:
        candle = candles[candle_id]
        wick = wick_mm(hung, candle.length_mm, kinds[kind].over_mm)
        yield Draw(threaded, candle.wick_of, wick, code, threader, frame=pk)
        if (candle_id, hung) not in amounts:
            grams = frame_grams(hung, candle.grams_a_pair)
            _, amounts[candle_id, hung] = drawn_for(grams, 0, blends[candle.wax_id], dyes[candle.colour_id])
        for material, amount in amounts[candle_id, hung].items():
            if amount:
                yield Draw(graded, material, amount, code, grader, frame=pk, run=run)


def _of_boxes() -> Iterable[Draw]:
    """A box and a label for every closed box there is."""
    kinds = {kind.pk: kind for kind in BoxKind.objects.select_related("material", "label")}
    boxes = Box.objects.filter(slip__isnull=False).values_list(
        "pk", "kind", "slip__number", "slip__issued_at", "slip__issued_by"
    )
    for pk, kind, number, closed, person in boxes:
        for material in (kinds[kind].material, kinds[kind].label):
            yield Draw(closed, material, 1, number, person, box=pk)


@dataclass
class _Lot:
    row: MaterialLot
    left: int
    drawn: list[tuple[Draw, int]] = field(default_factory=list)


class _Store:
    """One material through the year: lots come before they are needed, the oldest is drawn first."""

    def __init__(self, rng: random.Random, material: Material, bought: Bought, owner):
        self.rng, self.material, self.bought, self.owner = rng, material, bought, owner
        self.lot, self.reserve = _in_book(bought, bought.lot), _in_book(bought, bought.reserve)
        self.lots: list[_Lot] = []
        self.there = self.oldest = 0

    def draw(self, draw: Draw) -> None:
        day = timezone.localdate(draw.at)
        if not self.lots:
            self._come(day - timedelta(days=5), max(self.lot, self.reserve))
        while self.there - draw.amount < self.reserve:
            self._come(day - timedelta(days=self.rng.choice(AHEAD)), self.lot)
        amount = draw.amount
        self.there -= amount
        while amount:
            lot = self.lots[self.oldest]
            part = min(amount, lot.left)
            lot.left -= part
            amount -= part
            if part:
                lot.drawn.append((draw, part))
            if not lot.left:
                self.oldest += 1

    def fill_up(self, today: date) -> None:
        """What is to lie there today came in the last days."""
        while self.there < _in_book(self.bought, self.bought.today) or not self.lots:
            self._come(today - timedelta(days=self.rng.choice(AHEAD)), self.lot)

    def _come(self, day: date, amount: int) -> None:
        # A lot never comes before the one before it: the oldest is the first in the list.
        day = max([day, *(lot.row.came_on for lot in self.lots[-1:])])
        dearer = Decimal(str(round(self.rng.uniform(0.96, 1.06), 3)))
        price = self.bought.a_unit * amount / BOUGHT_IN[self.material.unit][1] * dearer
        row = MaterialLot(
            material=self.material, supplier=self.material.supplier, came_on=day, amount=amount,
            supplier_lot=f"{self.bought.code}-{day:%y%j}", price=price.quantize(PENNY),
        )  # fmt: skip
        self.lots.append(_Lot(row, amount))
        self.there += amount


def _write(stores: Iterable[_Store], rng: random.Random) -> None:
    stores = list(stores)
    lots = sorted(((lot, store) for store in stores for lot in store.lots), key=lambda pair: pair[0].row.came_on)
    for n, (lot, _) in enumerate(lots):
        before = [other.row.came_on for other, _ in lots[:n]].count(lot.row.came_on)
        lot.row.code, lot.row.on_hand = f"M{lot.row.came_on:%y-%m%d}-{before + 1:02d}", lot.left
    MaterialLot.objects.bulk_create([lot.row for lot, _ in lots], batch_size=BATCH)
    came = [
        MaterialMovement(
            lot=lot.row, kind="came", amount=lot.row.amount, person=store.owner, at=at(lot.row.came_on, 7)
        )
        for lot, store in lots
    ]
    drawn = [(lot.row, draw, amount) for lot, _ in lots for draw, amount in lot.drawn]
    moved = [
        MaterialMovement(
            lot=row, kind="drawn", amount=-amount, reference=draw.reference, person_id=draw.person, at=draw.at
        )
        for row, draw, amount in drawn
    ]
    MaterialMovement.objects.bulk_create([*came, *moved], batch_size=BATCH)
    _write_uses(drawn, moved)
    _write_purchases(lots, rng)


def _write_uses(drawn: Sequence[tuple], moved: Sequence[MaterialMovement]) -> None:
    rows = list(zip(drawn, moved, strict=True))
    FrameUse.objects.bulk_create(
        (
            FrameUse(
                frame_id=draw.frame,
                run_id=draw.run,
                material=draw.material,
                lot=row,
                amount=amount,
                movement=movement,
                at=draw.at,
            )
            for (row, draw, amount), movement in rows
            if draw.frame
        ),
        batch_size=BATCH,
    )
    BoxUse.objects.bulk_create(
        (
            BoxUse(box_id=draw.box, material=draw.material, lot=row, amount=amount, movement=movement)
            for (row, draw, amount), movement in rows
            if draw.box
        ),
        batch_size=BATCH,
    )


def _write_purchases(lots: Sequence[tuple[_Lot, _Store]], rng: random.Random) -> None:
    """Every lot was ordered once, and mostly came on its day."""
    rows = []
    for n, (lot, store) in enumerate(lots):
        ordered = lot.row.came_on - timedelta(days=store.material.supplier.lead_days + rng.choice((-1, 0, 0, 0, 1, 3)))
        rows.append(
            Purchase(
                material=store.material, supplier=store.material.supplier, amount=lot.row.amount, price=lot.row.price,
                ordered_on=ordered, due_on=ordered + timedelta(days=store.material.supplier.lead_days),
                state=Purchase.CAME, lot=lot.row, made_by=store.owner, version=2,
                submission=uuid.uuid5(uuid.NAMESPACE_OID, f"demo purchase {n}"),
            )
        )  # fmt: skip
    Purchase.objects.bulk_create(rows, batch_size=BATCH)


def _what_is_new(materials: dict[str, Material], today: date, owner) -> None:
    """An order under way, and a material that ran low by mishap."""
    name, amount = UNDER_WAY
    material = materials[name]
    order_material(
        material=material, supplier=material.supplier, amount=amount * BOUGHT_IN[material.unit][1],
        due_on=today + timedelta(days=3), price=None, note="By telephone.",
        submission=uuid.uuid5(uuid.NAMESPACE_OID, "demo purchase under way"), by=owner,
    )  # fmt: skip
    name, left, why = SPOILT
    material, left = materials[name], left * BOUGHT_IN[materials[name].unit][1]
    for lot in MaterialLot.objects.filter(material=material, on_hand__gt=0).order_by("came_on", "pk"):
        spoilt, left = max(0, lot.on_hand - left), max(0, left - lot.on_hand)
        if spoilt:
            adjust_material_lot(lot=lot, kind="wasted", amount=spoilt, reason=why, by=owner)
