"""Frames that gave fewer firsts than they hung for, while somebody still waits for the difference."""

from dataclasses import dataclass
from datetime import date, timedelta

from django.utils import timezone

from inventory.models import Candle
from production.models import Frame, Grading, Want
from production.queries.on_floor import on_floor_by_want

LOOK_BACK = timedelta(days=14)


@dataclass(frozen=True)
class Shortfall:
    """`short` pairs `frame` was hung for and did not give; of them `open` neither lie nor hang for the want yet."""

    frame: Frame
    candle: Candle
    short: int
    open: int
    for_whom: str
    wanted_by: date


def shortfalls() -> list[Shortfall]:
    """Of the gradings of the last fortnight, the most pressing first. Three queries."""
    rows = Grading.objects.filter(at__gte=timezone.now() - LOOK_BACK).exclude(promised=[])
    told = [
        (grading, row)
        for grading in rows.select_related("frame__candle__colour")
        for row in grading.promised
        if row["got"] < row["pairs"]
    ]
    wants = Want.objects.in_bulk({row["want"] for _, row in told})
    hangs = on_floor_by_want(wants)
    found = []
    for grading, row in told:
        want = wants.get(row["want"])
        still = min(row["pairs"] - row["got"], want.pairs - hangs.get(want.pk, 0)) if want else 0
        if still > 0:
            short = row["pairs"] - row["got"]
            found.append(Shortfall(grading.frame, grading.frame.candle, short, still, want.for_whom, want.wanted_by))
    return sorted(found, key=lambda row: (row.wanted_by, row.frame.pk))
