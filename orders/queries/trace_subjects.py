"""What a code stands for, and what of lots, frames and boxes belongs to it."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from difflib import get_close_matches

from django.db.models import Model, Q

from inventory.models import Lot, MaterialLot
from inventory.models.material import BOX, LABEL
from inventory.words import counted, day, in_pairs
from orders.models import Box, Delivery, SecondsBox
from production.models import DipRun, Frame, RunFrame
from production.queries.trace import frames_of_lots, holding, lots_of_frames, regraded_from

MOST_LOOKED_AT, MOST_OFFERED, ALIKE = 2_000, 6, 0.6


@dataclass(frozen=True)
class Traced:
    """What is traced: `what` names it in a sentence, `about` says more, `page`: name and key of its own page.

    `lots`: of candles, all that belongs to it. `frames`: those they came off. `ways`: of other frames that may hold
    traces of it, how. `boxes`: which BoxContent belongs to it, where it is a thing that boxes are made of.
    """

    kind: str
    pk: int
    code: str
    what: str
    about: str
    page: tuple[str, int] | None
    lots: frozenset[int] = frozenset()
    frames: frozenset[int] = frozenset()
    ways: Mapping[int, str] = field(default_factory=dict)
    boxes: Q | None = None
    material: MaterialLot | None = None


@dataclass(frozen=True)
class Kind:
    """One kind of thing that has a code: where it is written, how it is traced, the name of its own page.

    `related`: fetched with it.
    """

    model: type[Model]
    codes: tuple[str, ...]
    trace: Callable[[Model], dict]
    called: str
    page: str = ""
    related: tuple[str, ...] = ()


def _lot(lot: Lot) -> dict:
    lots = {lot.pk, *regraded_from([lot.pk])}
    fault = f", {lot.fault}" if lot.fault else ""
    run = f" in dip run {lot.dip_run}" if lot.dip_run else ""
    about = f"{lot.candle}, {lot.grade}{fault}; dipped on {day(lot.made_on)}{run}."
    frames = frames_of_lots([lot.pk]).values()
    return {"code": lot.code, "about": about, "lots": frozenset(lots), "frames": frozenset(frames)}


def _frame(frame: Frame) -> dict:
    about = f"{in_pairs(frame.hung)} of {frame.candle} hung; {frame.get_state_display()}."
    return {"code": frame.code, "about": about, "lots": frozenset(lots_of_frames([frame.pk])), "frames": {frame.pk}}


def _run(run: DipRun) -> dict:
    frames = frozenset(RunFrame.objects.filter(run=run, dips__gt=0).values_list("frame", flat=True))
    about = (
        f"{run.carousel} over {run.vat}, {run.wax} in {run.colour}; begun by {run.started_by} on "
        f"{day(run.started_at.date())}, {counted(len(frames), 'frame')}."
    )
    return {"code": run.code, "about": about, "lots": frozenset(lots_of_frames(frames)), "frames": frames}


def _material(lot: MaterialLot) -> dict:
    supplier = f" of {lot.supplier}, their lot {lot.supplier_lot or 'not noted'}" if lot.supplier else ", our own"
    facts = {"code": lot.code, "about": f"{lot.material}{supplier}; came on {day(lot.came_on)}.", "material": lot}
    if lot.material.kind in (BOX, LABEL):
        return {**facts, "boxes": Q(box__uses__lot=lot)}
    found = holding(lot)
    return {**facts, "lots": frozenset(lots_of_frames(found.held)), "frames": found.held, "ways": found.traces}


def _of_contents(code: str, called: str, about: str, lots: set[int]) -> dict:
    """Everything of the lots that lie in it is traced, not only what lies in it."""
    what = f"{'The lot' if len(lots) == 1 else f'The {len(lots)} lots'} of {called} {code}"
    frames = frozenset(frames_of_lots(lots).values())
    return {"code": code, "what": what, "about": about, "lots": frozenset(lots), "frames": frames}


def _box(box: Box) -> dict:
    delivery = box.delivery
    lots = set(box.contents.values_list("delivery_line__lot", flat=True))
    about = f"Box {box.number} of {delivery} for {delivery.order.shop}, {counted(len(lots), 'lot')} in it."
    return _of_contents(str(box.slip or f"{box.number} of {delivery}"), "box", about, lots)


def _delivery(delivery: Delivery) -> dict:
    lots = set(delivery.lines.values_list("lot", flat=True))
    about = (
        f"{delivery.get_state_display().capitalize()}, for {delivery.order.shop}; {counted(len(lots), 'lot')} in it."
    )
    return _of_contents(str(delivery), "delivery", about, lots)


def _seconds_box(box: SecondsBox) -> dict:
    lots = set(box.contents.values_list("lot", flat=True))
    about = f"Made up on {day(box.made_up_on)}, {box.state}; {counted(len(lots), 'lot')} in it."
    return _of_contents(box.code, "the box of seconds", about, lots)


KINDS = {
    "lot": Kind(Lot, ("code",), _lot, "Lot", "lot", ("candle",)),
    "box": Kind(
        Box,
        ("slip__number", "case_label__sscc"),
        _box,
        "Box",
        "delivery",
        ("slip", "delivery__note", "delivery__order__shop"),
    ),
    "frame": Kind(Frame, ("code",), _frame, "Frame", "frame", ("candle",)),
    "run": Kind(DipRun, ("code",), _run, "Dip run", "", ("carousel", "vat", "wax", "colour", "started_by")),
    "material": Kind(
        MaterialLot, ("code", "supplier_lot"), _material, "Material lot", "material_lot", ("material", "supplier")
    ),
    "seconds-box": Kind(SecondsBox, ("code",), _seconds_box, "Box of seconds", "seconds_box"),
    "delivery": Kind(Delivery, ("note__number",), _delivery, "Delivery", "delivery", ("note", "order__shop")),
}


def traced(kind: str, pk: int) -> Traced | None:
    """What belongs to the thing of that kind and key; None where there is none."""
    known = KINDS.get(kind)
    row = known and known.model.objects.select_related(*known.related).filter(pk=pk).first()
    if not row:
        return None
    facts = known.trace(row)
    page = (known.page, row.delivery_id if kind == "box" else row.pk) if known.page else None
    return Traced(**{"kind": kind, "pk": pk, "what": f"{known.called} {facts['code']}", "page": page, **facts})


@dataclass(frozen=True)
class Named:
    """Something that bears a code."""

    kind: str
    pk: int
    code: str

    @property
    def words(self) -> str:
        return f"{KINDS[self.kind].called} {self.code}"


def named(code: str) -> list[Named]:
    """Everything that bears this code, in whatever case it was typed. A query for each place codes are written in."""
    exact = {code, code.upper()}
    found = []
    for kind, known in KINDS.items():
        for place in known.codes:
            # A supplier writes as he likes; our own codes are capitals.
            wanted = {f"{place}__iexact": code} if place == "supplier_lot" else {f"{place}__in": exact}
            rows = known.model.objects.filter(**wanted).order_by("pk").values_list("pk", place)
            found += [Named(kind, pk, text) for pk, text in rows[:MOST_LOOKED_AT]]
    return found


def nearest(code: str) -> list[Named]:
    """What is written most like a code that nothing bears: among those that begin or end as it does, the newest."""
    code = code.upper()
    by_code: dict[str, Named] = {}
    for kind, known in KINDS.items():
        for place in known.codes:
            like = Q(**{f"{place}__istartswith": code[:3]}) | Q(**{f"{place}__iendswith": code[-3:]})
            rows = known.model.objects.filter(like).order_by("-pk").values_list("pk", place)
            for pk, text in rows[:MOST_LOOKED_AT]:
                by_code.setdefault(text.upper(), Named(kind, pk, text))
    return [by_code[text] for text in get_close_matches(code, by_code, n=MOST_OFFERED, cutoff=ALIKE)]
