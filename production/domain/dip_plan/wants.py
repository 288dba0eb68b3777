"""The dip list as the plan has it: what each want still lacks when nothing hangs and nothing lies free for it."""

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from inventory.models import Candle
from production.dip_plan.problem import Want as PlannedWant
from production.models import Frame, Want
from production.queries.dip_list import free_firsts
from production.queries.on_floor import on_floor_by_want

# What a pair a day late counts, by the shop's rank: the first three, the middle three and the last three.
WEIGHTS = {1: 4, 2: 4, 3: 4, 4: 2, 5: 2, 6: 2}
LEAST_WEIGHT = 1
TRIED = "tried"  # the group of an order that is only tried


@dataclass
class Line:
    """A want, or a row of an order that is only tried, with the pairs nothing hangs for and nothing lies free for."""

    key: int
    candle: int
    lacks: int
    hangs: int
    due: date
    rank: int
    label: str
    group: str
    whole: bool


def lines_of_book(what_if: Mapping) -> list[Line]:
    """In the order in which supply goes to them: the day, the rank, the age. Free firsts go to the first of them."""
    rows = list(Want.objects.order_by("wanted_by", "rank", "pk"))
    hangs = on_floor_by_want(Want.objects.all())
    lines = [
        Line(
            row.pk, row.candle_id, max(0, row.pairs - hangs.get(row.pk, 0)), hangs.get(row.pk, 0), row.wanted_by,
            row.rank, row.for_whom, row.group, row.all_or_nothing and bool(row.group),
        )
        for row in rows
    ]  # fmt: skip
    for place, row in enumerate(what_if.get("order", ()), start=1):
        due = date.fromisoformat(row["due"])
        lines.append(Line(-place, row["candle"], row["pairs"], 0, due, 5, "the order that is tried", TRIED, False))
    lines.sort(key=lambda line: (line.due, line.rank, line.key < 0, abs(line.key)))
    free = free_firsts({line.candle for line in lines})
    for line in lines:
        taken = min(line.lacks, max(0, free.get(line.candle, 0)))
        line.lacks -= taken
        free[line.candle] = free.get(line.candle, 0) - taken
    # A want that stock alone fills is no concern of the floor.
    return [line for line in lines if line.lacks or line.hangs]


def needs_of(lines: list[Line], frames: Iterable[Frame]) -> dict[int, int]:
    """Pairs of firsts by candle; 0 for candles of the catalogue and of the floor that nobody waits for now."""
    needs = Counter(dict.fromkeys(Candle.objects.filter(active=True).values_list("pk", flat=True), 0))
    needs.update({frame.candle_id: 0 for frame in frames})
    for line in lines:
        needs[line.candle] += line.lacks
    return dict(needs)


def planned_wants(lines: list[Line], items: Mapping[int, int]) -> tuple[tuple[PlannedWant, ...], dict[int, int]]:
    found, places = [], {}
    for line in lines:
        if line.candle in items:
            places[line.key] = len(found)
            weight = WEIGHTS.get(line.rank, LEAST_WEIGHT)
            found.append(
                PlannedWant(
                    line.key, items[line.candle], line.lacks, line.due, weight, line.label, line.group, line.whole
                )
            )
    return tuple(found), places
