"""What goes into a pair of each candle, out of recipe, blend, dye, wick, gradings and the lots in stock."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from django.db.models import Avg, F, OuterRef, Subquery, Sum

from inventory.models import Candle, MaterialLot
from production.costing import Cost, Material, Rates, Work, cost_of_pair
from production.domain.drawing import Stock
from production.heat import HeatOfWax, top_up_heat_kj
from production.models import CostFigures, FrameKind, Grading, WaxHeat
from production.pitch import pairs_on_frame
from production.queries.figures import floor_figures
from production.queries.growing import NewFrame, new_frames
from production.wax_drawn import Coat, grams_by_coat, wick_mm

MILLI = 1000  # grams of a pair are shared over its stages in milligrams, so that thin coats keep their part


def cost_figures() -> CostFigures:
    """The one row; unsaved and at its defaults where the owner has not set it yet. One query."""
    return CostFigures.objects.filter(pk=1).first() or CostFigures(pk=1)


def unit_prices(materials: Collection[int]) -> dict[int, Decimal]:
    """GBP a unit by material: the mean of what lies there, weighted by what is left; of nothing left, the last lot's.

    Materials that never came are left out. Two queries.
    """
    found: dict[int, list[Decimal]] = {}
    for lot in MaterialLot.objects.filter(material__in=materials, on_hand__gt=0):
        sums = found.setdefault(lot.material_id, [Decimal(0), Decimal(0)])
        sums[0] += lot.price_a_unit * lot.on_hand
        sums[1] += lot.on_hand
    prices = {key: worth / amount for key, (worth, amount) in found.items()}
    newest = MaterialLot.objects.filter(material=OuterRef("material")).order_by("-came_on", "-pk").values("pk")[:1]
    gone = MaterialLot.objects.filter(material__in=set(materials) - set(prices), pk=Subquery(newest))
    return {**prices, **{lot.material_id: lot.price_a_unit for lot in gone}}


@dataclass(frozen=True)
class Boxed:
    """What a full box takes besides candles: (name, unit price or None) of box and label."""

    pieces: tuple[tuple[str, Decimal | None], ...] = ()


def costs_of(candles: Iterable[Candle], boxed: Boxed) -> dict[int, Cost]:
    """By key of the candle: what a pair costs now. Candles come with wax, colour and wick_of. A fixed number of
    queries, however many candles.
    """
    candles = list(candles)
    facts = _Facts(candles)
    return {candle.pk: facts.cost(candle, boxed) for candle in candles}


class _Facts:
    """Everything the costs of these candles rest on, read at once."""

    def __init__(self, candles: list[Candle]):
        keys = [candle.pk for candle in candles]
        self.figures, self.floor = cost_figures(), floor_figures()
        self.frames = new_frames(keys)
        baths = {(c.wax_id, c.colour_id) for c in candles}
        baths |= {(s.wax_id, s.colour_id) for frame in self.frames.values() for s in frame.stages}
        self.stock = Stock(baths)
        self.prices = unit_prices(self.stock.materials() | {c.wick_of_id for c in candles if c.wick_of_id})
        self.heats = {heat.wax_id: heat for heat in WaxHeat.objects.filter(wax__in={wax for wax, _ in baths})}
        self.kinds = list(FrameKind.objects.filter(active=True).order_by("pk"))
        self.hung, self.spoilt = _graded(keys)

    def cost(self, candle: Candle, boxed: Boxed) -> Cost:
        on_frame, by_bath = self._pairs_on_frame(candle), self._grams_by_bath(candle)
        materials = [*self._waxes(by_bath), *self._wick(candle)]
        materials += [
            Material(name, "piece", Decimal(1) / candle.pairs_per_box, price) for name, price in boxed.pieces
        ]
        rates = Rates(
            self.figures.pay_hour,
            self.figures.energy_price,
            Decimal(self.figures.heat_share) / 100,
            self.figures.heated_by,
        )
        works = self._works(candle, on_frame)
        return cost_of_pair(materials, works, self._heat_kj(by_bath), rates, self.spoilt.get(candle.pk, 0.0))

    def _pairs_on_frame(self, candle: Candle) -> Decimal:
        if candle.pk in self.hung:
            return self.hung[candle.pk]
        loads = [pairs_on_frame(k.bars, k.usable_mm, candle.base_mm, k.pitch).pairs for k in self.kinds]
        return Decimal(max(loads, default=0) or candle.pairs_per_box)

    def _grams_by_bath(self, candle: Candle) -> dict[tuple[int, int], Decimal]:
        """Wax of a pair by wax and colour, inner coat first."""
        frame: NewFrame | None = self.frames.get(candle.pk)
        if frame is None:
            return {(candle.wax_id, candle.colour_id): candle.grams_a_pair}
        coats = [Coat(dips, s.growth_mm) for s, dips in zip(frame.stages, frame.dips, strict=True)]
        shares = grams_by_coat(int(candle.grams_a_pair * MILLI), float(frame.recipe.start_mm), coats)
        found: dict[tuple[int, int], Decimal] = {}
        for stage, share in zip(frame.stages, shares, strict=True):
            bath = stage.wax_id, stage.colour_id
            found[bath] = found.get(bath, Decimal(0)) + Decimal(share) / MILLI
        return found

    def _waxes(self, by_bath: Mapping) -> Iterable[Material]:
        amounts: dict = {}
        for (wax, colour), grams in by_bath.items():
            blend = self.stock.blends.get(wax, {})
            if not blend:
                amounts[None] = amounts.get(None, Decimal(0)) + grams
                continue
            for part, percent in blend.items():
                amounts[part] = amounts.get(part, Decimal(0)) + grams * percent / 100
            for dye, grams_a_kilo in self.stock.dyes_of((wax, colour)).items():
                amounts[dye] = amounts.get(dye, Decimal(0)) + grams * grams_a_kilo / 1000
        for part, grams in amounts.items():
            name = part.name if part else "Wax that no blend names"
            yield Material(name, "g", grams, self.prices.get(part.pk) if part else None, comes_back=True)

    def _wick(self, candle: Candle) -> Iterable[Material]:
        if candle.wick_of is None:
            yield Material("Wick that is drawn from nothing", "mm", 2 * candle.length_mm, None)
            return
        over = max((kind.over_mm for kind in self.kinds), default=0)
        amount = Decimal(wick_mm(1, candle.length_mm, over))
        yield Material(candle.wick_of.name, "mm", amount, self.prices.get(candle.wick_of_id))

    def _works(self, candle: Candle, on_frame: Decimal) -> list[Work]:
        own, frame = self.figures, self.frames.get(candle.pk)
        dips = sum(frame.dips) if frame else 0
        shared = f"shared by {on_frame:.0f} pairs on a frame"
        return [
            Work("Threading", self.floor.thread_minutes / on_frame, f"{self.floor.thread_minutes} min, {shared}"),
            Work(
                "Dipping",
                Decimal(dips * own.turn_seconds) / 60 / on_frame,
                f"{dips} dips of {own.turn_seconds} s, {shared}",
            ),
            Work(
                "Levelling, cutting off, counting",
                own.grade_minutes / on_frame,
                f"{own.grade_minutes} min, {shared}",
            ),
            Work(
                "Packing",
                Decimal(own.pack_minutes) / candle.pairs_per_box,
                f"{own.pack_minutes} min a box of {candle.pairs_per_box} pairs",
                after=True,
            ),
        ]

    def _heat_kj(self, by_bath: Mapping) -> float | None:
        total = 0.0
        for (wax, _), grams in by_bath.items():
            heat = self.heats.get(wax)
            if heat is None:
                return None
            of_wax = HeatOfWax(float(heat.c_solid), float(heat.latent_kj_kg), float(heat.c_liquid))
            melts, room = heat.congeals_c, self.figures.room_c
            total += top_up_heat_kj(grams / MILLI, melts, melts + USUAL_ABOVE, min(room, melts - 1), of_wax)
        return total


USUAL_ABOVE = 10  # K over congealing, where build dips usually stand (TRADE W34)


def _graded(candles: Collection[int]) -> tuple[dict[int, Decimal], dict[int, float]]:
    """(pairs a frame, share melted again) by candle, of all its gradings. One query."""
    rows = Grading.objects.filter(frame__candle__in=candles).order_by().values("frame__candle")
    rows = rows.annotate(each=Avg("frame__hung"), hung=Sum(F("frame__hung")), gone=Sum("remelt"))
    hung, spoilt = {}, {}
    for row in rows:
        hung[row["frame__candle"]] = Decimal(str(row["each"]))
        spoilt[row["frame__candle"]] = min(0.95, row["gone"] / row["hung"])
    return hung, spoilt
