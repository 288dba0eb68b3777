"""Frames draw their materials: wick when they are threaded, wax and dye when they are counted off.

Called inside the transaction of the act itself, as the last thing in it: material lots are locked after all others.
What a frame drew is never taken back: wick that was threaded is spent, and the wax of every pair hung has left the
vat, whatever the pair was graded.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from django.utils import timezone

from inventory.domain.materials import Drawn, draw_materials, lock_material_lots
from inventory.models import BlendPart, DyePart, Material
from production.models import DipRun, Frame, FrameUse, Recipe, RunFrame
from production.wax_drawn import Coat, drawn_for, frame_grams, grams_by_coat, wick_mm

Bath = tuple[int, int]  # keys of wax and colour


@dataclass(frozen=True)
class Layer:
    """Wax of one bath that one run put on a frame, in whole grams; `run` is None for a frame dipped off the book."""

    run: DipRun | None
    bath: Bath
    grams: int


def draw_wick(frame: Frame, *, by) -> list[FrameUse]:
    """The wick of a frame just threaded, of its candle's wick. Nothing where the candle names none."""
    wick = frame.candle.wick_of
    if wick is None:
        return []
    amount = wick_mm(frame.hung, frame.candle.length_mm, frame.kind.over_mm)
    return _write(frame, None, draw_materials({wick: amount}, reference=frame.code, by=by))


def draw_wax(frame: Frame, *, by) -> list[FrameUse]:
    """The wax and dye of all pairs hung on a frame that is counted off, by the runs that dipped it."""
    layers = layers_of(frame)
    stock = Stock({layer.bath for layer in layers})
    # In one go, in the order of their keys: what is drawn below is locked already.
    lots = lock_material_lots(stock.materials())
    there = {key: sum(lot.on_hand for lot in lots.get(own.pk, ())) for key, own in stock.own.items()}
    uses, now = [], timezone.now()
    for layer in layers:
        own, amounts = drawn_for(
            layer.grams, there.get(layer.bath, 0), stock.blends.get(layer.bath[0], {}), stock.dyes_of(layer.bath)
        )
        if own:
            there[layer.bath] -= own
            amounts = {stock.own[layer.bath]: own, **amounts}
        uses += _write(frame, layer.run, draw_materials(amounts, reference=frame.code, by=by, at=now), now)
    return uses


def _write(frame: Frame, run: DipRun | None, drawn: Iterable[Drawn], at: datetime | None = None) -> list[FrameUse]:
    at = at or timezone.now()
    return [
        FrameUse.objects.create(
            frame=frame,
            run=run,
            material=each.material,
            lot=each.lot,
            amount=each.amount,
            movement=each.movement,
            at=at,
        )
        for each in drawn
    ]


class Stock:
    """What waxes and colours are made of: blends, dyes, and our own remelt of each bath. Three queries."""

    def __init__(self, baths: Iterable[Bath]):
        """`baths`: keys of the waxes and colours asked about."""
        baths = set(baths)
        waxes, colours = {wax for wax, _ in baths}, {colour for _, colour in baths}
        self.blends: dict[int, dict[Material, object]] = {}
        for part in BlendPart.objects.filter(wax__in=waxes).select_related("material"):
            self.blends.setdefault(part.wax_id, {})[part.material] = part.percent
        self.dyes: dict[int, dict[Material, object]] = {}
        for part in DyePart.objects.filter(colour__in=colours).select_related("material"):
            self.dyes.setdefault(part.colour_id, {})[part.material] = part.grams_a_kilo
        remelt = Material.objects.filter(remelt_of__in=waxes, remelt_colour__in=colours)
        self.own: dict[Bath, Material] = {(row.remelt_of_id, row.remelt_colour_id): row for row in remelt}

    def dyes_of(self, bath: Bath) -> dict:
        return self.dyes.get(bath[1], {})

    def materials(self) -> set[int]:
        """Keys of everything named here."""
        parts = [*self.blends.values(), *self.dyes.values()]
        return {row.pk for row in self.own.values()} | {row.pk for part in parts for row in part}


def layers_of(frame: Frame) -> list[Layer]:
    """The wax of all pairs hung, by the runs that dipped the frame, inner coat first; no layer of nought grams."""
    grams = frame_grams(frame.hung, frame.candle.grams_a_pair)
    rows = RunFrame.objects.filter(frame=frame, dips__gt=0).select_related("run").order_by("run__started_at", "run")
    rows = list(rows)
    if not rows:
        return [Layer(None, (frame.candle.wax_id, frame.candle.colour_id), grams)]
    recipe = Recipe.objects.filter(candle=frame.candle_id).prefetch_related("stages").first()
    stages = list(recipe.stages.all()) if recipe else []
    coats = [Coat(row.dips, _growth(row.run, stages)) for row in rows]
    shares = grams_by_coat(grams, float(recipe.start_mm) if recipe else 0, coats)
    layers = [
        Layer(row.run, (row.run.wax_id, row.run.colour_id), share) for row, share in zip(rows, shares, strict=True)
    ]
    return [layer for layer in layers if layer.grams]


def _growth(run: DipRun, stages: list) -> float:
    """Growth a dip in the run's bath by the recipe; of a bath the recipe no longer names, as its first stage's."""
    same = [stage for stage in stages if (stage.wax_id, stage.colour_id) == (run.wax_id, run.colour_id)]
    return float((same or stages)[0].growth_mm) if stages else 1.0
