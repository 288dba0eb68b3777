"""The dip plan in sentences: what hangs until when, what is late, what a search found. No Django."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from inventory.words import counted, in_pairs
from production.dip_plan.clock import moment_of
from production.dip_plan.plan import Plan
from production.dip_plan.problem import Problem

A_WEEK = timedelta(days=7)
LEAST_SPOKEN = 0.05  # of a figure: what moves less is called the same


@dataclass(frozen=True)
class LateLine:
    """A want that is late. `days` after its day; None where the plan does not finish it, and `open` pairs stay."""

    want: int
    days: int | None
    open: int
    done: date | None


@dataclass(frozen=True)
class Tally:
    """What the sentences of a plan are made of. `orders`: groups of wants, `in_time` those without a late line;
    `frames`: new ones; `late_days`: weighted late pair-days; `change_minutes` of work; `over`: frames beyond need."""

    frames: int
    orders: int
    in_time: int
    lines: int
    late: tuple[LateLine, ...]
    late_days: int
    change_minutes: int
    over: int
    last_day: date

    @property
    def unfinished(self) -> int:
        return sum(line.days is None for line in self.late)

    @property
    def worst(self) -> int:
        return max((line.days or 0 for line in self.late), default=0)


def tally(problem: Problem, plan: Plan) -> Tally:
    late = late_lines(problem, plan)
    orders = {want.group for want in problem.wants if want.group}
    held_up = {problem.wants[line.want].group for line in late} - {""}
    return Tally(
        frames=len({each.frame for each in plan.hangings if each.started < 0}),
        orders=len(orders),
        in_time=len(orders) - len(held_up),
        lines=len(problem.wants),
        late=tuple(late),
        late_days=plan.cost.late,
        change_minutes=plan.cost.change_minutes,
        over=plan.cost.over,
        last_day=_last_day(problem),
    )


def late_lines(problem: Problem, plan: Plan) -> list[LateLine]:
    """Those not finished first, then the latest."""
    found = []
    for gets in plan.wants:
        due = problem.wants[gets.want].due
        if gets.done is None or gets.open:
            found.append(LateLine(gets.want, None, gets.open, None))
        elif gets.done > due:
            found.append(LateLine(gets.want, (gets.done - due).days, 0, gets.done))
    return sorted(found, key=lambda line: (line.days is not None, -(line.days or 0), line.want))


def plan_sentence(problem: Problem, plan: Plan, now: datetime) -> str:
    """ "13 frames hang until Friday; all 22 orders due are covered, 1 line is late by 2 days." """
    if not problem.halves:
        return "No hour is worked in the days ahead: nothing can be planned."
    if not problem.wants:
        return "Nothing is wanted of the floor: there is nothing to plan."
    facts, until = tally(problem, plan), week_end(problem, now)
    to_hang = frames_until(problem, plan, until, now)
    hang = f"{counted(to_hang, 'frame hangs', 'frames hang')} until {said_day(until, now.date())}"
    if not to_hang:
        hang = f"No new frame hangs until {said_day(until, now.date())}"
    return f"{hang}; {covered(facts)}."


def covered(facts: Tally) -> str:
    """ "20 of 22 orders due are ready in time, 3 lines are late, the worst by 4 days"."""
    what = counted(facts.orders, "order") if facts.orders else counted(facts.lines, "line")
    if not facts.late:
        if facts.orders == 1 or (not facts.orders and facts.lines == 1):
            return f"the {what[2:]} due is ready in time"
        return f"all {what} due are ready in time"
    in_time = facts.in_time if facts.orders else facts.lines - len(facts.late)
    ready = f"{in_time:,} of {what} due {'is' if in_time == 1 else 'are'} ready in time"
    return f"{ready}, {lateness(facts)}"


def lateness(facts: Tally, line: str = "line ", lines: str = "lines ") -> str:
    """ "3 lines are late, the worst by 4 days"; "1 line is late by 2 days"; "2 lines stay unfinished"."""
    late, said = len(facts.late) - facts.unfinished, []
    if late == 1:
        said.append(f"1 {line}is late by {counted(facts.worst, 'day')}")
    elif late:
        said.append(f"{late:,} {lines}are late, the worst by {counted(facts.worst, 'day')}")
    if facts.unfinished:
        stays = counted(facts.unfinished, f"{line}stays", f"{lines}stay")
        said.append(f"{stays} unfinished on {facts.last_day.day} {facts.last_day:%B}")
    return " and ".join(said) or "no line is late"


def capital(sentence: str) -> str:
    """With a capital to begin with."""
    return sentence[:1].upper() + sentence[1:]


def frames_until(problem: Problem, plan: Plan, until: date, now: datetime) -> int:
    """Frames hung from now to the end of that day."""
    return sum(now <= starts and starts.date() <= until for starts in hung_at(problem, plan, now))


def hung_at(problem: Problem, plan: Plan, now: datetime) -> list[datetime]:
    """When each frame that does not hang yet is first hung, threaded already or not, in the time zone of `now`."""
    hung = {place for place, started in enumerate(problem.started) if started.vat >= 0}
    first = (each for each in plan.hangings if each.stage == 0 and each.started not in hung)
    return [moment_of(problem.days, each.starts).astimezone(now.tzinfo) for each in first]


def week_end(problem: Problem, now: datetime) -> date:
    """The last day the plan works on in this week; in the next one where this week has none left."""
    days = [problem.days[half.day] for half in problem.halves]
    ahead = [day.date for day in days if day.closes > now] or [days[-1].date]
    week = ahead[0].isocalendar()[:2]
    return [day for day in ahead if day.isocalendar()[:2] == week][-1]


def said_day(day: date, today: date) -> str:
    """ "today", "tomorrow", "Friday" within a week, else "Tuesday 8 December"."""
    if day == today:
        return "today"
    if day == today + timedelta(days=1):
        return "tomorrow"
    if today < day < today + A_WEEK:
        return f"{day:%A}"
    return full_day(day)


def full_day(day: date) -> str:
    return f"{day:%A} {day.day} {day:%B}"


def short_day(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b}"


def cost_sentence(facts: Tally) -> str:
    """ "No pair is late; 5 hours 40 minutes of change-over; no frame more than is needed." """
    late = f"{counted(facts.late_days, 'late pair-day')} by rank" if facts.late_days else "No pair is late"
    over = counted(facts.over, "frame") if facts.over else "no frame"
    return f"{late}; {work_time(facts.change_minutes)} of change-over; {over} more than the wants need."


def work_time(minutes: int) -> str:
    """ "45 minutes", "5 hours 40 minutes", "none"."""
    if not minutes:
        return "no minute"
    hours, rest = divmod(minutes, 60)
    said = [counted(hours, "hour")] if hours else []
    return " ".join([*said, counted(rest, "minute")] if rest else said)


def better_by(now: Tally, then: Tally) -> str:
    """What a found plan does against the one that stands: "1 line late instead of 3; 45 minutes less change-over." """
    late = f"{counted(len(now.late), 'line')} late"
    said = [late if len(now.late) == len(then.late) else f"{late} instead of {len(then.late):,}"]
    if now.late_days != then.late_days:
        said.append(f"{counted(now.late_days, 'late pair-day')} instead of {then.late_days:,}")
    minutes = now.change_minutes - then.change_minutes
    if minutes:
        said.append(f"{work_time(abs(minutes))} {'more' if minutes > 0 else 'less'} change-over")
    frames = now.frames - then.frames
    if frames:
        said.append(f"{counted(abs(frames), 'frame')} {'more' if frames > 0 else 'fewer'}")
    return "; ".join(said) + "."


def late_sentence(problem: Problem, plan: Plan) -> str:
    """First line of the page that says why: "Of 41 lines, 3 are late, the worst by 4 days; 96 pairs wait." """
    facts = tally(problem, plan)
    if not facts.late:
        return f"No line is late: all {counted(facts.lines, 'line')} of the dip list are ready in time."
    pairs = sum(problem.wants[line.want].pairs for line in facts.late)
    return f"Of {counted(facts.lines, 'line')}, {lateness(facts, '', '')}; {in_pairs(pairs)} wait."


def days_late(line: LateLine, last_day: date) -> str:
    """ "2 days", or "not by 15 December"."""
    if line.days is None:
        return f"not by {last_day.day} {last_day:%b}"
    return counted(line.days, "day")


def _last_day(problem: Problem) -> date:
    return problem.days[problem.halves[-1].day].date if problem.halves else problem.days[-1].date


def frame_sentence(frame: str, vat: str, starts: datetime, ready_on: date, now: datetime) -> str:
    """ "Frame 7 of the plan, 96 pairs of Ivory taper: over North vat from Friday at 08:12, ready on ..." """
    when = f"from {said_day(starts.date(), now.date())} at {starts:%H:%M}"
    return f"{frame}: over {vat} {when}, ready on {full_day(ready_on)}."


def pins_sentence(pins: list[str]) -> str:
    if not pins:
        return "Nothing is pinned: the plan chooses freely."
    if len(pins) == 1:
        return f"1 pin holds: {pins[0]}."
    return f"{len(pins):,} pins hold; the first is {pins[0]}."


def week_sentence(problem: Problem, plan: Plan, monday: date, now: datetime) -> str:
    """ "Week of Monday 30 November: 31 frames to hang, the first at 08:00 on Monday; 1 line is late by 2 days." """
    sunday = monday + A_WEEK - timedelta(days=1)
    week = sorted(at for at in hung_at(problem, plan, now) if at >= now and monday <= at.date() <= sunday)
    frames = f"{counted(len(week), 'frame')} to hang" if week else "no frame to hang"
    first = f", the first on {week[0]:%A} at {week[0]:%H:%M}" if week else ""
    return f"Week of {full_day(monday)}: {frames}{first}; {lateness(tally(problem, plan))}."
