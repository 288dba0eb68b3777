"""What the plan takes as floors grow: memory, and time to a given quality."""

import subprocess
import sys
from collections.abc import Iterator
from math import log
from pathlib import Path
from time import process_time

from config.measure.row import Row, tell
from production.dip_plan.construct import construct
from production.dip_plan.improve import improve
from production.dip_plan.instances import SIZES, make

QUALITY = 0.1  # of the first plan's cost
LONGEST_S = 120.0
# Not getrusage: there a process that was forked starts with the peak of the one it came from.
PEAK = """
from pathlib import Path
from production.dip_plan.instances import make
{work}
print(next(line.split()[1] for line in Path("/proc/self/status").read_text().splitlines() if "VmHWM" in line))
"""
WORK = """
from production.dip_plan.construct import construct
from production.dip_plan.improve import improve
from production.dip_plan.ready_by import answer, asking
problem = make({name!r})
plan = improve(problem, construct(problem), effort="normal", seed=1, clock_s={seconds})
answer(asking(problem, plan), 0, 48)
"""


def memory_rows() -> Iterator[Row]:
    if not Path("/proc/self/status").exists():
        yield Row("memory", None, "MB", note="is measured on Linux only")
        return
    bare = _peak_mb("")
    for name, aim, seconds in (("season", 500, 10), ("big", 1500, 20)):
        tell(f"memory, {name}")
        yield Row(f"{name}: memory", _peak_mb(WORK.format(name=name, seconds=seconds)), "MB", bare, "MB bare", aim)


def _peak_mb(work: str) -> float:
    """Peak resident memory of a process of its own that does this work (counted in KiB)."""
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-c", PEAK.format(work=work)], capture_output=True, text=True, check=True
    )
    return int(done.stdout.split()[-1]) / 1024


def growth_rows() -> Iterator[Row]:
    """Processor seconds from nothing to a plan of a tenth of the first one's cost, at one load, and how that grows."""
    points = []
    for name in ("small", "season", "mid", "big"):
        seconds = seconds_to_quality(name)
        lines = SIZES[name].lines
        yield Row(f"{name} ({lines:,} lines): time to a tenth of the first plan's cost", seconds, "s")
        if seconds is not None and name != "small":
            points.append((log(lines), log(seconds)))
    yield Row("growth of that time in lines, season upwards: exponent", slope(points), "", aim=1)


def seconds_to_quality(name: str) -> float | None:
    """None where it is not reached within LONGEST_S of the processor."""
    tell(f"time to quality, {name}")
    problem = make(name)
    started, reached = process_time(), []
    first = construct(problem)

    def told(done, in_all, best):
        if not reached and best.cost.total <= QUALITY * first.cost.total:
            reached.append(process_time() - started)

    found = improve(
        problem,
        first,
        effort="long",
        seed=1,
        tell=told,
        stop=lambda: bool(reached) or process_time() - started > LONGEST_S,
    )
    told(0, 0, found)
    return reached[0] if reached else None


def slope(points: list[tuple[float, float]]) -> float | None:
    """Of the line through them by least squares; None for fewer than two."""
    if len(points) < 2:
        return None
    x, y = (sum(point[at] for point in points) / len(points) for at in (0, 1))
    return sum((a - x) * (b - y) for a, b in points) / sum((a - x) ** 2 for a, _ in points)
