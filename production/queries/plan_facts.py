"""What a dip plan is made from, part by part, and what of it has changed since, in words.

Turns done, frames taken off and graded are what a plan expects and no news. Facts are plain values, kept with a plan.
"""

from collections.abc import Mapping
from datetime import date, datetime

from django.db.models import Max
from django.utils import timezone

from inventory.models import BlendPart, MaterialMovement
from inventory.words import counted, in_pairs
from production.models import (
    ChangeOver,
    DayOff,
    DipPlan,
    Frame,
    PlannedFrame,
    PlanPin,
    Recipe,
    Vat,
    Want,
    WaxHeat,
    WorkingDay,
)
from production.models.frame import HANGING, SCRAPPED, THREADED
from production.queries.figures import floor_figures
from production.queries.on_floor import living_frames

MOST_NAMED = 5
FIGURES = (
    "confidence", "hands", "thread_minutes", "handling_seconds", "change_colour_minutes", "change_wax_minutes"
)  # fmt: skip


def facts_of_book() -> dict[str, dict[str, list]]:
    """By part and key: what a plan rests on. Twelve queries."""
    figures = floor_figures()
    hours = WorkingDay.objects.values_list("weekday", "starts", "ends")
    return {
        "wants": _rows(Want.objects.values_list("pk", "candle", "pairs", "wanted_by", "rank", "all_or_nothing")),
        "floor": _rows(living_frames().values_list("pk", "state", "carousel", "position")),
        "vats": _rows(Vat.objects.values_list("pk", "active", "depth_mm", "keep_mm")),
        "hours": _rows(hours) | {"off": [str(day) for day in DayOff.objects.values_list("day", flat=True)]},
        "figures": {name: [str(getattr(figures, name))] for name in FIGURES},
        "change-overs": _rows(
            ChangeOver.objects.values_list("pk", "from_wax", "from_colour", "to_wax", "to_colour", "minutes")
        ),
        "recipes": _rows(Recipe.objects.values_list("candle", "version")),
        "pins": _rows(PlanPin.objects.order_by("pk").values_list("pk", "vat", "day", "half", "colour", "candle")),
        "wax": _rows(WaxHeat.objects.values_list("wax", "in_hand_kg")) | _lots_of_wax(),
    }


def _lots_of_wax() -> dict[str, list]:
    """The blends, and the last thing done to a lot of wax other than dipping: what frames draw was reckoned with."""
    blends = BlendPart.objects.order_by("pk").values_list("wax", "material", "percent")
    moved = MaterialMovement.objects.filter(lot__material__blended_in__isnull=False).exclude(kind="drawn")
    return {"lots": [[_plain(value) for value in row] for row in blends] + [moved.aggregate(last=Max("pk"))["last"]]}


def _rows(rows) -> dict[str, list]:
    return {str(key): [_plain(value) for value in values] for key, *values in rows}


def _plain(value):
    return value if value is None or isinstance(value, bool | int | str) else str(value)


def what_changed(plan: DipPlan, now: datetime | None = None) -> list[str]:
    """What has changed since the facts that the plan was made from, in sentences; none where nothing has."""
    now, then, book = now or timezone.now(), plan.facts, facts_of_book()
    said = _wants(then.get("wants", {}), book["wants"])
    said += _floor(plan, then.get("floor", {}), book["floor"])
    said += _missed(plan, now)
    said += _vats(then.get("vats", {}), book["vats"])
    for part, sentence in SIMPLE.items():
        if then.get(part, {}) != book[part]:
            said.append(sentence)
    return said


SIMPLE = {
    "hours": "The working hours or days off have changed.",
    "figures": "The floor's figures have changed.",
    "change-overs": "The change-over times have changed.",
    "recipes": "A recipe has changed.",
    "pins": "The pins have changed.",
    "wax": "The wax in hand has changed.",
}


def _wants(then: Mapping, now: Mapping) -> list[str]:
    new = [now[key] for key in now.keys() - then.keys()]
    gone = then.keys() - now.keys()
    both = [(then[key], now[key]) for key in now.keys() & then.keys() if then[key] != now[key]]
    more = sum(max(0, after[1] - before[1]) for before, after in both if before[0] == after[0])
    other = [after for before, after in both if before[0] != after[0]]
    moved = [after for before, after in both if before[2:] != after[2:]]
    said = []
    if new:
        first = min(date.fromisoformat(row[2]) for row in new)
        what = counted(len(new), "want is", "wants are")
        said.append(f"{what} new: {in_pairs(sum(row[1] for row in new))}, the first by {first.day} {first:%b}.")
    if more:
        said.append(f"{in_pairs(more)} more are wanted of what was wanted already.")
    if other:
        said.append(f"{counted(len(other), 'want asks', 'wants ask')} for another candle.")
    if moved:
        said.append(f"{counted(len(moved), 'want has', 'wants have')} another day or rank.")
    if gone:
        said.append(f"{counted(len(gone), 'want is', 'wants are')} filled or withdrawn.")
    return said


def _floor(plan: DipPlan, then: Mapping, now: Mapping) -> list[str]:
    """Frames threaded beside the plan, scrapped, or taken down half dipped."""
    planned = {str(pk) for pk in plan.frames.filter(frame__isnull=False).values_list("frame", flat=True)}
    new = now.keys() - then.keys() - planned
    down = [key for key in now.keys() & then.keys() if (then[key][0], now[key][0]) == (HANGING, THREADED)]
    gone = then.keys() - now.keys()
    scrapped = Frame.objects.filter(pk__in=[int(key) for key in gone], state=SCRAPPED) if gone else ()
    said = []
    if new:
        said.append(f"{_named(new)} {'was' if len(new) == 1 else 'were'} threaded beside the plan.")
    if down:
        said.append(f"{_named(down)} {'was' if len(down) == 1 else 'were'} taken down before being done.")
    if codes := [frame.code for frame in scrapped]:
        said.append(f"{_and_more(codes)} {'was' if len(codes) == 1 else 'were'} scrapped.")
    return said


def _missed(plan: DipPlan, now: datetime) -> list[str]:
    """Frames the plan had hung by now that nobody has threaded."""
    rows = list(PlannedFrame.objects.filter(plan=plan, frame=None, starts__lt=now).select_related("candle"))
    if not rows:
        return []
    names = list(dict.fromkeys(row.candle.name for row in rows))
    what = counted(len(rows), "planned frame was", "planned frames were")
    return [f"{what} to hang by now and {'is' if len(rows) == 1 else 'are'} not threaded yet: {_and_more(names)}."]


def _vats(then: Mapping, now: Mapping) -> list[str]:
    changed = [key for key in now.keys() | then.keys() if then.get(key) != now.get(key)]
    names = Vat.objects.filter(pk__in=[int(key) for key in changed]).values_list("name", flat=True) if changed else ()
    return [f"{_and_more(list(names) or ['A vat'])} changed."] if changed else []


def _named(keys) -> str:
    return _and_more(list(Frame.objects.filter(pk__in=[int(key) for key in keys]).values_list("code", flat=True)))


def _and_more(names: list[str]) -> str:
    """ "A, B and 3 more" """
    shown, rest = names[:MOST_NAMED], len(names) - MOST_NAMED
    if rest > 0:
        return f"{', '.join(shown)} and {rest} more"
    return " and ".join(filter(None, [", ".join(shown[:-1]), shown[-1]])) if shown else ""
