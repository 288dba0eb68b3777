"""What the floor will need of wax, dye and wick, and what there is of every material bought."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from math import ceil

from django.db.models import Sum
from django.utils import timezone

from inventory.material_words import BOUGHT_IN
from inventory.models import Candle, Material, MaterialLot, Purchase
from production.domain.drawing import Stock
from production.models import FrameKind, Vat
from production.needs import FLOOR, LIST, PLAN, Arrival, Dipped, Held, Need, days_to_hang, wax_and_dye
from production.queries.dip_list import to_hang, wanted_candles, wants_of
from production.queries.growing import NewFrame, new_frames
from production.queries.on_floor import living_frames
from production.queries.planned import TO_HANG
from production.queries.wax import bath_of
from production.wax_balance import grams_in
from production.wax_drawn import Coat, frame_grams, grams_by_coat, share_out, wick_mm

DIPPED_IN = timedelta(days=1)  # a frame hangs for a day or so before it hardens


@dataclass(frozen=True)
class Hanging:
    """A frame that hangs, or will: `threaded` ones have had their wick. `counted`: firsts the plan counts on."""

    day: date
    candle: Candle
    pairs: int
    kind: FrameKind
    source: str
    threaded: bool = False
    counted: int = 0


def floor_needs(today: date) -> dict[int, list[Need]]:
    """By material: wax, dye and wick for the frames that hang, that the plan will hang, and that the dip list asks for
    beyond the plan. A constant number of queries.
    """
    frames = [*_on_the_floor(today), *(planned := _planned()), *_beyond_the_plan(planned, today)]
    new = new_frames(frame.candle.pk for frame in frames)
    dipped = [row for frame in frames for row in _dipped(frame, new.get(frame.candle.pk))]
    stock = Stock({row.bath for row in dipped})
    found = wax_and_dye(dipped, _remelt(stock), lambda bath: stock.blends.get(bath[0], {}), stock.dyes_of)
    needs = defaultdict(list, {material.pk: rows for material, rows in found.items()})
    for frame in frames:
        if not frame.threaded and (wick := frame.candle.wick_of_id):
            amount = wick_mm(frame.pairs, frame.candle.length_mm, frame.kind.over_mm)
            needs[wick].append(Need(frame.day, amount, frame.source))
    return dict(needs)


def _on_the_floor(today: date) -> list[Hanging]:
    """Threaded, hanging and hardening frames: their wax is drawn when they are counted off, and is as good as gone."""
    rows = living_frames().select_related("candle__wax", "candle__colour", "kind").order_by("pk")
    return [Hanging(today, frame.candle, frame.hung, frame.kind, FLOOR, threaded=True) for frame in rows]


def _planned() -> list[Hanging]:
    """Frames the standing plan has still to hang."""
    rows = TO_HANG.select_related("candle__wax", "candle__colour", "kind").order_by("starts", "pk")
    return [
        Hanging(timezone.localdate(row.starts), row.candle, row.pairs, row.kind, PLAN, counted=row.counted)
        for row in rows
    ]


def _beyond_the_plan(planned: Iterable[Hanging], today: date) -> list[Hanging]:
    """Frames the dip list asks for and the plan does not hang."""
    by_candle: Mapping[int, list[Hanging]] = defaultdict(list)
    for frame in planned:
        by_candle[frame.candle.pk].append(frame)
    candles = {candle.pk: candle for candle in wanted_candles().select_related("recipe")}
    asked, wants, found = to_hang(candles.values()), wants_of(candles), []
    for pk, hang in asked.items():
        if hang.frames is None or hang.frames.frames is None:
            continue
        has, candle = by_candle[pk], candles[pk]
        more = max(0, hang.frames.frames - len(has))
        recipe = getattr(candle, "recipe", None)
        ahead = DIPPED_IN + timedelta(days=ceil((recipe.harden_hours if recipe else 0) / 24))
        covered = hang.wanted - hang.need + sum(frame.counted for frame in has)
        rows = [(want.wanted_by, want.pairs) for want in wants[pk]]
        for day in days_to_hang(rows, covered, hang.per_frame, more, ahead):
            found.append(Hanging(max(day, today), candle, hang.per_frame, hang.kind, LIST))
    return found


def _dipped(frame: Hanging, new: NewFrame | None) -> list[Dipped]:
    """The wax of a frame by the baths of its recipe; of a candle without one all in its own."""
    candle, grams = frame.candle, frame_grams(frame.pairs, frame.candle.grams_a_pair)
    if new is None:
        return [Dipped(frame.day, (candle.wax_id, candle.colour_id), grams, frame.source)]
    coats = [Coat(dips, float(stage.growth_mm)) for stage, dips in zip(new.stages, new.dips, strict=True)]
    shares = grams_by_coat(grams, float(new.recipe.start_mm), coats)
    return [
        Dipped(frame.day, (stage.wax_id, stage.colour_id), share, frame.source)
        for stage, share in zip(new.stages, shares, strict=True)
    ]


def _remelt(stock: Stock) -> dict[tuple[int, int], int]:
    """Grams of our own remelt in hand of each bath. One query."""
    bath_of_material = {material.pk: bath for bath, material in stock.own.items()}
    rows = MaterialLot.objects.filter(material__in=bath_of_material).order_by().values_list("material")
    return {bath_of_material[pk]: grams for pk, grams in rows.annotate(grams=Sum("on_hand"))}


def bought_materials() -> list[Material]:
    """Everything in use that is bought: not our own remelt."""
    rows = Material.objects.filter(active=True, remelt_of=None).select_related("supplier")
    return list(rows.order_by("kind", "name"))


def held_of(materials: Iterable[Material]) -> dict[int, Held]:
    """By material: what there is of it, and what stands molten. Four queries."""
    rows = MaterialLot.objects.filter(on_hand__gt=0).order_by().values_list("material")
    there, in_vats = dict(rows.annotate(amount=Sum("on_hand"))), wax_in_vats()
    return {
        row.pk: Held(
            on_hand=there.get(row.pk, 0),
            in_vats=in_vats.get(row.pk, 0),
            keep=row.keep,
            pack=row.pack or BOUGHT_IN[row.unit][1],
            lead_days=row.supplier.lead_days if row.supplier else None,
        )
        for row in materials
    }


def wax_in_vats() -> dict[int, int]:
    """By material: grams of it in the vats in use, by their levels and the blends of their waxes. Three queries."""
    vats = list(Vat.objects.filter(active=True).select_related("wax").order_by("pk"))
    stock, found = Stock({(vat.wax_id, vat.colour_id) for vat in vats}), defaultdict(int)
    for vat in vats:
        blend = stock.blends.get(vat.wax_id, {})
        grams = round(grams_in(vat.level_mm, bath_of(vat)))
        for material, part in zip(blend, share_out(grams, list(blend.values())) if blend else (), strict=True):
            found[material.pk] += part
    return dict(found)


def purchases_under_way() -> dict[int, list[Purchase]]:
    """By material: what was ordered and has not come, the earliest first. One query."""
    found: dict[int, list[Purchase]] = defaultdict(list)
    rows = (
        Purchase.objects.filter(state=Purchase.UNDER_WAY)
        .select_related("material", "supplier")
        .order_by("due_on", "pk")
    )
    for row in rows:
        found[row.material_id].append(row)
    return found


def arrivals_of(purchases: Iterable[Purchase]) -> list[Arrival]:
    return [Arrival(row.due_on, row.amount) for row in purchases]
