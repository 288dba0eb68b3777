"""Work that is too much for a week, moved to the weeks before; and room for frames more. No Django.

Loads as production/floor_load.py has them: 1 is full.
"""

from collections import defaultdict
from collections.abc import Sequence

from production.floor_load import EXPECTED, HANGING, FloorWeeks, Load, Task, baths_of, load_of, work_of

ROUNDS = 12  # of moving work to the week before
FULL = 1.0005  # as near to 1 as moving shares of it gets


def levelled(floor: FloorWeeks) -> tuple[FloorWeeks, float]:
    """The same work with what is too much for a week moved to the week before it, and so on from the last week back.

    Also the frames that even the first week cannot take. What is expected and what is wanted are moved alike; only
    work of the vats, or of the hands, that are overfull is moved. What hangs stays.
    """
    tasks = list(floor.tasks)
    for week in range(len(floor.weeks) - 1, 0, -1):
        for _ in range(ROUNDS):
            here = [task for task in tasks if task.week == week]
            load = load_of(floor.problem, floor.weeks[week], here)
            if load.most <= FULL:
                break
            tasks = [task for task in tasks if task.week != week] + _moved(here, load)
    done = FloorWeeks(floor.problem, floor.weeks, tasks, floor.said)
    first = done.load(0) if floor.weeks else None
    over = 0.0
    if first and first.most > 1:
        frames = sum(task.frames for task in done.of_week(0) if task.kind != HANGING)
        over = frames * (1 - 1 / first.most)
    return done, over


def _moved(tasks: Sequence[Task], load: Load) -> list[Task]:
    """The tasks with so much of each that is in the way moved a week ahead that the rest fits."""
    share, found = 1 / load.most, []
    for task in tasks:
        in_way = load.binds == "hands" or any(vats <= load.vats for vats, _ in task.work)
        if task.kind == HANGING or not in_way:
            found.append(task)
            continue
        found += [task.part(share), task.part(1 - share, task.week - 1)]
    return found


def relief(before: FloorWeeks, after: FloorWeeks) -> dict[int, float]:
    """By item: frame-weeks by which levelling moved what is expected of it ahead; only items it moved."""
    moved: dict[int, float] = defaultdict(float)
    for floor, sign in ((before, 1), (after, -1)):
        for task in floor.tasks:
            if task.kind == EXPECTED:
                moved[task.item] += sign * task.frames * task.week
    return {item: weeks for item, weeks in moved.items() if weeks > 1e-6}


def fits(floor: FloorWeeks, item: int, week: int, most: int, full: float = 1.0) -> int:
    """Whole frames of the item, at most `most`, that the week takes besides what it has and stays within `full`."""
    candle = floor.problem.items[item]
    work, baths = work_of(floor.problem, candle.stages, candle), baths_of(candle.stages)
    if work is None:
        return 0
    least, here = 0, floor.of_week(week)
    while least < most:
        middle = (least + most + 1) // 2
        trial = Task(item, middle, week, EXPECTED, work, baths)
        if load_of(floor.problem, floor.weeks[week], [*here, trial]).most <= full:
            least = middle
        else:
            most = middle - 1
    return least


def with_frames(floor: FloorWeeks, item: int, week: int, frames: int) -> FloorWeeks:
    """The weeks with so many frames of the item more in that week."""
    candle = floor.problem.items[item]
    task = Task(item, frames, week, EXPECTED, work_of(floor.problem, candle.stages, candle), baths_of(candle.stages))
    return FloorWeeks(floor.problem, floor.weeks, [*floor.tasks, task], floor.said)
