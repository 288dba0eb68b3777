"""What can be made at all, how many frames of it, and by when each should be off. No Django."""

from collections.abc import Iterator
from datetime import date

from production.dip_plan.clock import later, second_at
from production.dip_plan.problem import Item, Problem, Stage, Vat

FAR = 1 << 40  # seconds of work: no frame is wanted by then


def vats_for(problem: Problem, item: Item, stage: Stage) -> list[int]:
    """Vats that may hold a stage's bath, cover the candle, and turn within a working day."""
    longest = max((day.ends - day.starts for day in problem.days), default=0)
    if max(stage.turn_s, stage.dip_s) > longest:
        return []
    return [at for at, vat in enumerate(problem.vats) if _takes(vat, item, stage)]


def _takes(vat: Vat, item: Item, stage: Stage) -> bool:
    return vat.depth_mm >= item.length_mm and (stage.bath in vat.may_hold or stage.bath == vat.bath)


def fits_anywhere(problem: Problem, item: Item) -> bool:
    return all(vats_for(problem, item, stage) for stage in item.stages)


def spares_of(problem: Problem, item: int) -> int:
    """Firsts counted on from started frames that nobody was promised."""
    return sum(started.spare for started in problem.started if started.item == item)


def frames_needed(problem: Problem, item: int) -> int:
    """Fewest new frames that, with the spares, are counted on for the item's wants; all of them if none are enough."""
    counted = problem.items[item].counted
    wanted = sum(want.pairs for want in problem.wants if want.item == item) - spares_of(problem, item)
    if wanted <= 0:
        return 0
    return next((frames for frames, pairs in enumerate(counted) if pairs >= wanted), len(counted) - 1)


def frame_dues(problem: Problem, item: int, frames: int) -> Iterator[tuple[int, int]]:
    """Of each of so many new frames the second of work it should be off by, for the first pair it brings, and the
    weighted pairs it brings; those beyond the wants are due never and weigh 1."""
    counted, spare = problem.items[item].counted, spares_of(problem, item)
    wants = [want for want in problem.wants if want.item == item]
    off_by = {due: second_off_by(problem, problem.items[item], due) for due in {want.due for want in wants}}
    place, left, most = 0, wants[0].pairs if wants else 0, len(counted) - 1
    for frame in range(-1, frames):  # the spares go first, as if they were a frame of their own
        gives = spare if frame < 0 else counted[min(frame + 1, most)] - counted[min(frame, most)]
        due, worth = FAR, 0
        while gives > 0 and place < len(wants):
            pairs = min(gives, left)
            if pairs > 0:
                due = min(due, off_by[wants[place].due])
                worth += pairs * wants[place].weight
            gives, left = gives - pairs, left - pairs
            if left == 0:
                place += 1
                left = wants[place].pairs if place < len(wants) else 0
        if frame >= 0:
            yield due, max(1, worth)


def second_off_by(problem: Problem, item: Item, due: date) -> int:
    """Last second of work at which a frame may come off to be hard and there by `due`; 0 where that is over."""
    closes = next((day.closes for day in reversed(problem.days) if day.date <= due), None)
    return 0 if closes is None else second_at(problem.days, later(closes, -item.harden_s - 1))
