"""Seconds of work: days they lie in, turns that fit before closing, when a frame is hard. No Django.

Like turns.py, loops to be compiled as they stand. A day or half-day found once is where the next look-up begins.
"""

from production.dip_plan import tables as t


def day_from(f, day, second):
    """The day a second of work lies in, looked for from `day` on; N_DAYS beyond the last."""
    while day < f[t.N_DAYS] and f[f[t.AT_DAYS] + day * t.DAYS + t.D_ENDS] <= second:
        day += 1
    return day


def half_from(f, half, second):
    """The half-day a second of work lies in, looked for from `half` on; the last one for all beyond it."""
    while half + 1 < f[t.N_HALVES] and f[f[t.AT_HALVES] + half * t.HALVES + t.H_ENDS] <= second:
        half += 1
    return half


def fit_turn(f, day, second, turn):
    """When a turn of that length can begin, at `second` or on a day after; NEVER where no day is long enough."""
    while day < f[t.N_DAYS]:
        second = max(second, f[f[t.AT_DAYS] + day * t.DAYS + t.D_STARTS])
        if second + turn <= f[f[t.AT_DAYS] + day * t.DAYS + t.D_ENDS]:
            return second
        day += 1
    return t.NEVER


def after_turns(f, day, second, turn, turns):
    """End of the last of so many turns, the first of which begins at `second` in `day`; NEVER beyond the days."""
    while day < f[t.N_DAYS]:
        fit = (f[f[t.AT_DAYS] + day * t.DAYS + t.D_ENDS] - second) // turn
        if turns <= fit:
            return second + turns * turn
        turns -= fit
        day += 1
        if day < f[t.N_DAYS]:
            second = f[f[t.AT_DAYS] + day * t.DAYS + t.D_STARTS]
    return t.NEVER


def turns_before(f, day, second, turn, moment):
    """Fewest whole turns from `second` in `day` after which the next would begin at `moment` or later."""
    turns = 0
    while day < f[t.N_DAYS] and second < moment:
        fit = (f[f[t.AT_DAYS] + day * t.DAYS + t.D_ENDS] - second) // turn
        need = -((second - moment) // turn)
        if need <= fit:
            return turns + need
        turns += fit
        day += 1
        if day < f[t.N_DAYS]:
            second = f[f[t.AT_DAYS] + day * t.DAYS + t.D_STARTS]
    return turns


def ready_from(f, day, off, harden):
    """Day on which a frame's pairs are there that came off at second `off`; -1 beyond the days."""
    while day > 0 and f[f[t.AT_DAYS] + day * t.DAYS + t.D_STARTS] >= off:
        day -= 1
    while f[f[t.AT_DAYS] + day * t.DAYS + t.D_ENDS] < off:
        day += 1
    hard = f[f[t.AT_DAYS] + day * t.DAYS + t.D_OPENS] + off - f[f[t.AT_DAYS] + day * t.DAYS + t.D_STARTS] + harden
    while day < f[t.N_DAYS] and f[f[t.AT_DAYS] + day * t.DAYS + t.D_CLOSES] <= hard:
        day += 1
    return day if day < f[t.N_DAYS] else -1
