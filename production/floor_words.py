"""The floor in sentences: the first line of a carousel's page, and of the floor's."""

from datetime import datetime

from django.utils import timezone

from inventory.words import counted, measure
from production.queries.floor import Hung, Place


def place_sentence(place: Place) -> str:
    """ "Carousel 2 over the Ivory vat: F7 dips next; its tapers reach gauge in 10 to 12 dips, about 15:40." """
    name = place.carousel.name
    if place.run is None:
        hung = counted(len(place.hung), "frame hangs", "frames hang")
        return f"{name} stands idle: {hung if place.hung else 'nothing hangs'} on it and no run is on."
    over = f"{name} over {place.run.vat.name}"
    if place.run.resting:
        hung = counted(len(place.hung), "frame", "frames")
        return f"{over} rests after turn {place.run.turns}, with {hung} on it."
    if not place.hung:
        return f"{over}: nothing hangs yet."
    if place.next is None:
        return f"{over}: every frame is done; take off {codes(place.hung)}."
    return f"{over}: {place.next.frame} dips next; {reach(place.next)}."


def codes(hung: list[Hung]) -> str:
    """ "F7, F8 and F9"."""
    names = [each.frame.code for each in hung]
    return " and ".join(filter(None, [", ".join(names[:-1]), names[-1]]))


def reach(hung: Hung) -> str:
    """ "its candles reach gauge in 10 to 12 dips, about 15:40"."""
    growing = hung.growing
    if growing is None:
        return "nobody can tell how far it is: its candle has no recipe"
    left, what = growing.left, "finish" if growing.finishing else "gauge"
    if growing.stage.until_mm is not None:
        what = f"{measure(growing.stage.until_mm)} mm"
    if left.likely is None:
        return f"take a reading: nobody can tell when it reaches {what}"
    if left.likely == 0:
        return f"its candles are at {what}: gauge them"
    few, vague = left.fewest or 0, left.most is None or left.most > 2 * left.likely
    dips = f"{few} to {left.most} dips" if few != left.most and not vague else counted(left.likely, "dip")
    about = f", about {clock(hung.at[0])}" if hung.at[0] else ""
    dips = f"about {dips}" if vague else dips
    return f"its candles reach {what} in {dips}{about}"


def clock(moment: datetime, now: datetime | None = None) -> str:
    """ "15:40" today, else "Thursday 3 Dec, 08:12"."""
    local, today = timezone.localtime(moment), timezone.localdate(now)
    if local.date() == today:
        return f"{local:%H:%M}"
    year = f" {local.year}" if local.year != today.year else ""
    return f"{local:%A} {local.day} {local:%b}{year}, {local:%H:%M}"


def floor_sentence(places: list[Place]) -> str:
    """ "4 of 6 carousels turn, 1 rests; 19 frames hang, and 2 of them are done." """
    running = [place for place in places if place.run and not place.run.resting]
    resting = [place for place in places if place.run and place.run.resting]
    hung = [each for place in places for each in place.hung]
    if not places:
        return "There is no carousel yet: set one up first."
    said = f"{len(running)} of {counted(len(places), 'carousel')} {'turns' if len(running) == 1 else 'turn'}"
    if resting:
        said += f", {counted(len(resting), 'rests', 'rest')}"
    done = sum(each.frame.done for each in hung)
    if not hung:
        return f"{said}; nothing hangs."
    finished = f", {counted(done, 'of them is', 'of them are')} done" if done else ""
    return f"{said}; {counted(len(hung), 'frame hangs', 'frames hang')}{finished}."


def run_line(place: Place) -> str:
    """The quiet line under it: run, turn, pace, heat of the vat as it is set, level."""
    run = place.run
    if run is None:
        return ""
    by = "counted by the clock" if run.counting == "clock" else "counted by tap"
    turn = f"turn {run.turns}" if run.turns else "no turn yet"
    return (
        f"Run {run}, {turn}, one every {counted(1, 'minute') if run.turn_minutes == 1 else minutes(run)} {by}. "
        f"{run.vat} is set to {measure(run.vat.set_c)} C and stands {run.vat.level_mm:.0f} mm below the rim."
    )


def minutes(run) -> str:
    return f"{measure(run.turn_minutes)} minutes"
