"""Does a problem from a file hang together? No Django. One plain sentence a fault."""

from collections.abc import Iterator

from production.dip_plan.problem import Problem


def faults_of_problem(problem: Problem) -> Iterator[str]:
    """Places that point nowhere, figures that cannot be, and days that do not follow one another."""
    yield from _days(problem)
    yield from _vats(problem)
    yield from _items(problem)
    yield from _started(problem)
    yield from _wants(problem)
    yield from _pins(problem)


def _place(what: str, place: int, rows, of: str) -> Iterator[str]:
    if not 0 <= place < len(rows):
        yield f"{what}: there is no {of} {place}, only {len(rows)} of them, counted from 0."


def _days(problem: Problem) -> Iterator[str]:
    ends = 0
    for at, day in enumerate(problem.days):
        if day.starts != ends or day.ends <= day.starts:
            yield f"days[{at}]: should run from second {ends} to a later one."
            return
        if int((day.closes - day.opens).total_seconds()) != day.ends - day.starts:
            yield f"days[{at}]: its hours by the clock are not its seconds of work."
        if at and day.opens < problem.days[at - 1].closes:
            yield f"days[{at}]: opens before the day before has closed."
        ends = day.ends
    ends = 0
    for at, half in enumerate(problem.halves):
        yield from _place(f"halves[{at}].day", half.day, problem.days, "day")
        if half.starts != ends or half.ends <= half.starts:
            yield f"halves[{at}]: should run from second {ends} to a later one."
            return
        if 0 <= half.day < len(problem.days):
            day = problem.days[half.day]
            if not day.starts <= half.starts < half.ends <= day.ends:
                yield f"halves[{at}]: does not lie in its day."
        ends = half.ends
    if len(problem.threads) != len(problem.halves) or any(frames < 0 for frames in problem.threads):
        yield "threads: should hold a number of frames, 0 or more, for every half-day."


def _vats(problem: Problem) -> Iterator[str]:
    baths = problem.baths
    if len(problem.change_s) != len(baths) or any(len(row) != len(baths) for row in problem.change_s):
        yield "change_s: should hold a row for every bath, with a number for every bath."
    elif any(seconds < 0 for row in problem.change_s for seconds in row):
        yield "change_s: holds a change-over of less than no time."
    elif any(problem.change_s[at][at] for at in range(len(baths))):
        yield "change_s: from a bath to itself there is no change-over."
    for at, bath in enumerate(baths):
        if not 0 <= bath.wax < max(1, len(problem.wax_g)):
            yield f"baths[{at}].wax: there is no wax {bath.wax} in wax_g."
    for at, vat in enumerate(problem.vats):
        for bath in (vat.bath, *sorted(vat.may_hold)):
            yield from _place(f"vats[{at}]", bath, baths, "bath")
        if vat.positions < 1:
            yield f"vats[{at}].positions: should be 1 or more."


def _stages(what: str, stages, problem: Problem) -> Iterator[str]:
    for at, stage in enumerate(stages):
        yield from _place(f"{what}.stages[{at}].bath", stage.bath, problem.baths, "bath")
        if stage.dips < 1 or stage.turn_s < 1 or stage.dip_s < 0:
            yield f"{what}.stages[{at}]: needs a dip, and a turn that takes time."


def _items(problem: Problem) -> Iterator[str]:
    for at, item in enumerate(problem.items):
        if not item.stages:
            yield f"items[{at}].stages: a candle has one stage or more."
        yield from _stages(f"items[{at}]", item.stages, problem)
        if item.counted[:1] != (0,) or list(item.counted) != sorted(item.counted):
            yield f"items[{at}].counted: should begin with 0 and never fall."
        if item.harden_s < 0 or item.wax_g < 0 or item.pairs < 0:
            yield f"items[{at}]: pairs, wax and time to harden are 0 or more."


def _started(problem: Problem) -> Iterator[str]:
    places = set()
    for at, started in enumerate(problem.started):
        name = f"started[{at}]"
        yield from _place(f"{name}.item", started.item, problem.items, "item")
        yield from _stages(name, started.stages, problem)
        if not started.stages and started.hard_s < 0:
            yield f"{name}: has neither a stage left nor a time to harden."
        if started.stages and started.hard_s >= 0:
            yield f"{name}: hardens, and has stages left."
        for want, pairs in started.promised:
            yield from _place(f"{name}.promised", want, problem.wants, "want")
            if pairs < 0:
                yield f"{name}.promised: pairs are 0 or more."
        if started.spare < 0:
            yield f"{name}.spare: should be 0 or more."
        if started.vat >= 0 and started.stages:
            yield from _place(f"{name}.vat", started.vat, problem.vats, "vat")
            yield from _hangs(problem, name, started, places)


def _hangs(problem: Problem, name: str, started, places: set) -> Iterator[str]:
    if started.vat >= len(problem.vats):
        return
    vat = problem.vats[started.vat]
    if not 0 <= started.position < vat.positions:
        yield f"{name}.position: {vat.name} has no position {started.position}."
    if (started.vat, started.position) in places:
        yield f"{name}.position: two frames hang there."
    if started.stages[0].bath != vat.bath:
        yield f"{name}: hangs over {vat.name}, which holds another bath than its stage needs."
    places.add((started.vat, started.position))


def _wants(problem: Problem) -> Iterator[str]:
    for at, want in enumerate(problem.wants):
        yield from _place(f"wants[{at}].item", want.item, problem.items, "item")
        if want.pairs < 0 or want.weight < 0:
            yield f"wants[{at}]: pairs and weight are 0 or more."


def _pins(problem: Problem) -> Iterator[str]:
    for at, pin in enumerate(problem.vat_pins):
        yield from _place(f"vat_pins[{at}].vat", pin.vat, problem.vats, "vat")
        yield from _place(f"vat_pins[{at}].half", pin.half, problem.halves, "half-day")
        yield from _place(f"vat_pins[{at}].bath", pin.bath, problem.baths, "bath")
    hang = [
        (pin.item, pin.vat, pin.half, pin.position, f"frame_pins[{at}]") for at, pin in enumerate(problem.frame_pins)
    ]
    for at, (item, vat, position, _) in enumerate(problem.frozen.hang if problem.frozen else ()):
        hang.append((item, vat, 0, position, f"frozen.hang[{at}]"))
    for item, vat, half, position, name in hang:
        yield from _place(f"{name}.item", item, problem.items, "item")
        yield from _place(f"{name}.vat", vat, problem.vats, "vat")
        yield from _place(f"{name}.half", half, problem.halves, "half-day")
        if 0 <= vat < len(problem.vats) and not -1 <= position < problem.vats[vat].positions:
            yield f"{name}.position: {problem.vats[vat].name} has no position {position}."
    for at, row in enumerate(problem.frozen.baths if problem.frozen else ()):
        for bath in row:
            yield from _place(f"frozen.baths[{at}]", bath, problem.baths, "bath")
