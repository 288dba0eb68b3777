"""When pairs can be ready, in words. No Django."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from math import prod

from production.chances import in_hundred
from production.dip_plan.binds import day_in_words
from production.dip_plan.save import Later, Way

NO_PLAN = "no dip plan yet: ready from stock and floor only"


@dataclass(frozen=True)
class Ready:
    """`day` None: nobody can promise one, `binds` says why; else `binds` is why not earlier. `chance` None: not known.

    `planned`: pairs out of frames the plan hangs anyway; `frames`: more to be hung; `change`: of the plan, in words.
    """

    day: date | None
    chance: float | None = None
    binds: str = ""
    planned: int = 0
    frames: int = 0
    change: str = ""

    def when(self, today: date) -> str:
        """ "ready Thursday 3 Dec, 97 times in 100"; "ready now"."""
        if self.day is None:
            return "no day can be promised"
        if self.day <= today:
            return "ready now"
        sure = f", {in_hundred(self.chance)}" if self.chance is not None and self.chance < 1 else ""
        return f"ready {day_in_words(self.day)}{sure}"

    @property
    def why(self) -> str:
        """ "no vat in ivory until Tuesday 1 Dec; 2 frames more to hang, North vat changed to ivory on ..." """
        more = [f"{self.frames} frame{'' if self.frames == 1 else 's'} more to hang"] if self.frames else []
        more += [self.change] if self.change else []
        return "; ".join(filter(None, (self.binds, ", ".join(more))))


def whole_of(rows: Iterable[Ready]) -> Ready:
    """An order is ready with its last row; its chance is that of all rows, candle by candle on their own."""
    rows = list(rows)
    if not rows:
        return Ready(None)
    lacking = next((row for row in rows if row.day is None), None)
    if lacking:
        return Ready(None, None, lacking.binds)
    last = max(rows, key=lambda row: row.day)
    chances = [row.chance for row in rows]
    return Ready(last.day, None if None in chances else prod(chances), last.binds)


def whole_sentence(whole: Ready, *, today: date, ship_by: date | None, plan: bool) -> str:
    """ "All of it can be ready by Friday 4 Dec, 93 times in 100; that is 2 days after the ship-by date." """
    if whole.day is None:
        return f"Nobody can say when all of it is ready: {whole.binds}."
    if whole.day <= today:
        words = "All of it is ready now"
    else:
        sure = f", {in_hundred(whole.chance)}" if whole.chance is not None and whole.chance < 1 else ""
        words = f"All of it can be ready by {day_in_words(whole.day)}{sure}"
    if ship_by and whole.day > ship_by:
        days = (whole.day - ship_by).days
        words += f"; that is {days} day{'' if days == 1 else 's'} after the ship-by date"
    return f"{words}. {NO_PLAN.capitalize()}." if not plan and whole.day > today else f"{words}."


def later_words(later: Sequence[Later], most: int = 3) -> str:
    """ "Ossel Gifts by 2 days, The Lamp Room by 1 day and 2 more"; "nobody"."""
    worst: dict[str, Later] = {}
    for row in sorted(later, key=lambda row: (row.nowhere, row.days)):
        worst[row.label] = row
    ranked = sorted(worst.values(), key=lambda row: (not row.nowhere, -row.days, row.label))
    if not ranked:
        return "nobody"
    told = ", ".join(
        f"{row.label} (nothing would be planned for it)" if row.nowhere
        else f"{row.label} by {row.days} day{'' if row.days == 1 else 's'}"
        for row in ranked[:most]
    )  # fmt: skip
    return f"{told} and {len(ranked) - most} more" if len(ranked) > most else told


def saving_words(ways: Sequence[Way] | None) -> str:
    """The cheapest change that saves a promise and who would be delayed by it; what comes nearest where none does."""
    if ways is None:
        return "No dip plan stands: let one be made first."
    best = next(iter(ways), None)
    if best is None:
        return "Nothing to change: no pair of it waits for the floor."
    words = best.words[:1].upper() + best.words[1:]
    if best.saves:
        return f"{words}. Later by it: {later_words(best.later)}."
    nearest = f"; nearest: {best.words}, ready {day_in_words(best.done)}" if best.done else ""
    return f"Nothing that was tried saves it{nearest}."
