"""One frame, from its threading to its lots; and the way back to it from a lot."""

from copy import copy
from datetime import date

from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from config.roles import for_roles, works_as
from inventory.models import Lot
from inventory.queries.records import records_of
from inventory.tables.stockroom import RecordTable
from inventory.words import counted, day, in_pairs
from production.domain.grading import counted_off, is_hard
from production.models import Frame
from production.models.frame import GRADED, HANGING, OFF, SCRAPPED
from production.queries.floor import Hung
from production.queries.grading import frame_of_lot, grading_of, readings_of, runs_of, steps_of, uses_of
from production.queries.growing import growing_of
from production.tables.grading import HungForTable, ReadingTable, RunOfFrameTable, StepOfFrameTable, UseOfFrameTable


@for_roles("dipper", "packer", "bookkeeper")
@require_safe
def frame(request, pk):
    rows = Frame.objects.select_related("candle__colour", "candle__wax", "kind", "carousel", "threaded_by")
    frame = get_object_or_404(rows, pk=pk)
    grading, may_grade = grading_of(frame), works_as(request.user, "dipper")
    context = {
        "frame": frame,
        "grading": grading,
        "hard": is_hard(frame),
        "headline": _in_words(frame, grading),
        "hung_for": _hung_for(frame, grading),
        "readings": ReadingTable(readings_of(frame)),
        "runs": RunOfFrameTable(runs_of(frame), linked=may_grade),
        "uses": UseOfFrameTable(uses_of(frame), linked=works_as(request.user, "dipper", "packer")),
        "steps": StepOfFrameTable(steps_of(frame)),
        "records": RecordTable(records_of("frame", frame.pk)),
        "may_grade": may_grade,
        "growth": _growth(frame),
    }
    return render(request, "production/frame.html", context)


def _growth(frame: Frame):
    """Its growth, drawn, in the last stage in which it was held against the gauge; a finish is not measured."""
    last = frame.readings.standing().order_by("dips", "pk").last()
    if last is None:
        return ""
    then = copy(frame)
    if last.stage != frame.stage:
        then.stage, then.dips = last.stage, last.dips
        then.stage_dips = last.dips if last.stage == 1 else 0
    growing = growing_of([then]).get(frame.pk)
    return Hung(then, growing).draw() if growing else ""


def _in_words(frame: Frame, grading) -> str:
    pairs = f"{in_pairs(frame.hung)} of {frame.candle}"
    if frame.state == GRADED and grading:
        return f"{frame} gave {counted_off(grading).in_words()}, of {pairs}."
    if frame.state == HANGING:
        dips = counted(frame.dips, "dip")
        done = "at gauge" if frame.done else f"{dips} on"
        return f"{frame} hangs on {frame.carousel}, position {frame.position}: {pairs}, {done}."
    if frame.state == OFF:
        when = timezone.localtime(frame.hard_at) if frame.hard_at else None
        ready = "hard and ready to grade" if is_hard(frame) else f"hard on {day(when)} at {when:%H:%M}"
        return f"{frame} is taken off and {ready}: {pairs}."
    if frame.state == SCRAPPED:
        return f"{frame} was scrapped: {pairs} were hung on it."
    half = f" with {counted(frame.dips, 'dip')}" if frame.dips else ""
    return f"{frame} is threaded with {pairs} and hangs nowhere{half}."


def _hung_for(frame: Frame, grading) -> HungForTable:
    """Of a graded frame what it hung for, as copied down; else what it hangs for now."""
    if grading:
        rows = [{**row, "wanted_by": date.fromisoformat(row["wanted_by"])} for row in grading.promised]
        return HungForTable(rows, empty_text="It hung for the shelf.")
    rows = [
        {"for_whom": promise.want.for_whom, "wanted_by": promise.want.wanted_by, "pairs": promise.pairs}
        for promise in frame.promises.select_related("want")
    ]
    return HungForTable(rows, exclude=("got",))


@for_roles("dipper", "packer", "bookkeeper")
@require_safe
def lot_origin(request, pk):
    lot = get_object_or_404(Lot.objects.select_related("candle__colour", "shelf"), pk=pk)
    frame = frame_of_lot(lot)
    context = {"lot": lot, "frame": frame}
    if frame:
        runs = runs_of(frame)
        context |= {
            "grading": grading_of(frame),
            "headline": _origin_in_words(lot, frame, runs),
            "runs": RunOfFrameTable(runs, linked=works_as(request.user, "dipper")),
            "readings": ReadingTable(readings_of(frame)),
            "growth": _growth(frame),
        }
    else:
        context["headline"] = f"{lot} came off no frame on the book: its pairs were counted in."
    return render(request, "production/lot_origin.html", context)


def _origin_in_words(lot: Lot, frame: Frame, runs: list) -> str:
    dipped = [row for row in runs if row.dips]
    if not dipped:
        return f"{lot} came off frame {frame}, dipped off the book until {day(lot.made_on)}."
    last = dipped[-1].run
    return f"{lot} came off frame {frame}, dipped in run {last} over {last.vat} until {day(lot.made_on)}."
