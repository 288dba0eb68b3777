"""A frame and its position: is there one, would it be done in time, and hanging it. No Django.

Like turns.py, loops to be compiled as they stand.
"""

from production.dip_plan import tables as t
from production.dip_plan.moments import after_turns


def is_named(f, r, v, place):
    """Does a pin name this position, with its half-day still to come in this stretch of one bath?"""
    named = False
    for pin in range(f[t.N_PINS]):
        at = f[t.AT_PINS] + pin * t.PINS
        if r[r[t.IN_PINS] + pin] == t.PENDING and f[at + t.P_VAT] == v and f[at + t.P_POSITION] == place:
            named = named or f[at + t.P_HALF] < r[r[t.IN_VATS] + v * t.RUN_VATS + t.R_LAST]
    return named


def free_place(f, r, v):
    """The first free position, one that no pin names where there is such a one; -1 where all are taken."""
    pinned, p = -1, r[t.IN_PLACES] + v * f[t.PLACES] * t.RUN_PLACES
    for place in range(f[f[t.AT_VATS] + v * t.VATS + t.V_POSITIONS]):
        if r[p + place * t.RUN_PLACES + t.L_OP] < 0:
            if f[t.N_PINS] == 0 or not is_named(f, r, v, place):
                return place
            if pinned < 0:
                pinned = place
    return pinned


def fits_in(f, r, v, o, now, limit):
    """1: it can be hung with the turn that begins now; 0: something would not be done in time; -1: today is too short
    for a turn with it."""
    at, op = r[t.IN_VATS] + v * t.RUN_VATS, f[t.AT_OPS] + o * t.OPS
    day, before = r[at + t.R_DAY], r[at + t.R_TURN]
    turn = max(r[at + t.R_LONGEST], f[op + t.O_TURN_S], r[at + t.R_DIPS] + f[op + t.O_DIP_S])
    if now + turn > f[f[t.AT_DAYS] + day * t.DAYS + t.D_ENDS]:
        return -1
    if after_turns(f, day, now, turn, f[op + t.O_TURNS]) > limit:
        return 0
    if before in (0, turn):
        return 1
    for place in range(f[f[t.AT_VATS] + v * t.VATS + t.V_POSITIONS]):
        p = r[t.IN_PLACES] + (v * f[t.PLACES] + place) * t.RUN_PLACES
        if r[p + t.L_OP] >= 0 and after_turns(f, day, now, turn, r[p + t.L_LEFT]) > r[p + t.L_LIMIT]:
            return 0
    return 1


def hang(f, r, v, place, o, now, limit):
    """Puts the op's next frame there, to be dipped from the turn after this one on."""
    op, queue, count = f[t.AT_OPS] + o * t.OPS, r[t.IN_QUEUE] + 2 * o, r[t.IN_COUNT]
    frame = r[r[t.IN_FRAMES] + f[op + t.O_SLOT] + r[queue]]
    if f[op + t.O_FRESH] == 1:
        frame = r[count + t.C_FRAMES]
        r[count + t.C_FRAMES] += 1
    if f[op + t.O_NEW] == 1:
        r[r[t.IN_HUNG_IN] + r[r[t.IN_VATS] + v * t.RUN_VATS + t.R_HALF]] += 1
        r[r[t.IN_HUNG_OF] + f[op + t.O_ITEM]] += 1
        r[r[t.IN_WAX] + f[op + t.O_WAX]] -= f[op + t.O_GRAMS]
    r[queue] += 1
    put(f, r, v, place, o, frame, now, f[op + t.O_TURNS], limit)


def put(f, r, v, place, o, frame, now, left, limit):
    """Writes the hanging down, fills the position, and makes the turn as long as it needs."""
    count, op = r[t.IN_COUNT] + t.C_ROWS, f[t.AT_OPS] + o * t.OPS
    row = r[t.IN_ROWS] + r[count] * t.ROWS
    r[row + t.K_OP] = o
    r[row + t.K_FRAME] = frame
    r[row + t.K_VAT] = v
    r[row + t.K_POSITION] = place
    r[row + t.K_STARTS] = now
    r[row + t.K_FIRST] = now
    r[row + t.K_ENDS] = t.NEVER
    p = r[t.IN_PLACES] + (v * f[t.PLACES] + place) * t.RUN_PLACES
    r[p + t.L_OP] = o
    r[p + t.L_LEFT] = left
    r[p + t.L_FRAME] = frame
    r[p + t.L_LIMIT] = limit
    r[p + t.L_ROW] = row
    r[count] += 1
    at = r[t.IN_VATS] + v * t.RUN_VATS
    r[at + t.R_HUNG] += 1
    r[at + t.R_LONGEST] = max(r[at + t.R_LONGEST], f[op + t.O_TURN_S])
    r[at + t.R_DIPS] += f[op + t.O_DIP_S]
    r[at + t.R_TURN] = max(r[at + t.R_LONGEST], r[at + t.R_DIPS])
