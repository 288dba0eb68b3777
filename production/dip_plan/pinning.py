"""Frames that somebody said are to hang there and then: pinned by the owner, or frozen. No Django.

Like turns.py, loops to be compiled as they stand.
"""

from production.dip_plan import tables as t
from production.dip_plan.placing import fits_in, free_place, hang, is_named


def limit_beside_pins(f, r, v, place):
    """By when a frame at that position must be done: before the bath goes, and before a pin needs the position."""
    run, limit = r[t.IN_VATS] + v * t.RUN_VATS, r[r[t.IN_VATS] + v * t.RUN_VATS + t.R_UNTIL]
    free, anywhere, soonest = 0, 0, t.NEVER
    for other in range(f[f[t.AT_VATS] + v * t.VATS + t.V_POSITIONS]):
        p = r[t.IN_PLACES] + (v * f[t.PLACES] + other) * t.RUN_PLACES
        if r[p + t.L_OP] < 0 and not is_named(f, r, v, other):
            free += 1
    for pin in range(f[t.N_PINS]):
        at = f[t.AT_PINS] + pin * t.PINS
        if r[r[t.IN_PINS] + pin] != t.PENDING or f[at + t.P_VAT] != v:
            continue
        if f[at + t.P_POSITION] == place:
            limit = min(limit, f[at + t.P_AT])
        if f[at + t.P_POSITION] < 0 and f[at + t.P_HALF] < r[run + t.R_LAST]:
            anywhere += 1
            soonest = min(soonest, f[at + t.P_AT])
    return min(limit, soonest) if free <= anywhere else limit


def hang_pinned(f, r, v, now, hands):
    """Hangs the pinned frames whose hour has come; gives up those whose half-day is over. When to look again."""
    half, wake = r[r[t.IN_VATS] + v * t.RUN_VATS + t.R_HALF], t.NEVER
    for pin in range(f[t.N_PINS]):
        at = f[t.AT_PINS] + pin * t.PINS
        o, due_in = f[at + t.P_OP], f[at + t.P_HALF]
        queue = r[t.IN_QUEUE] + 2 * o
        if r[r[t.IN_PINS] + pin] != t.PENDING or f[at + t.P_VAT] != v:
            continue
        if due_in < half:
            r[r[t.IN_PINS] + pin] = t.MISSED
            r[r[t.IN_RESERVED] + due_in] -= 1
            item = f[f[t.AT_OPS] + o * t.OPS + t.O_ITEM]
            if r[queue + 1] < f[f[t.AT_ITEMS] + item * t.ITEMS + t.I_NEED]:
                r[queue + 1] += 1
        elif f[at + t.P_AT] > now or due_in > half:
            wake = min(wake, f[at + t.P_AT])
        elif hang_pin(f, r, v, pin, now, hands):
            r[r[t.IN_PINS] + pin] = t.KEPT
            r[r[t.IN_RESERVED] + half] -= 1
        else:
            wake = min(wake, f[f[t.AT_HALVES] + half * t.HALVES + t.H_ENDS])
    return wake


def hang_pin(f, r, v, pin, now, hands):
    """Hangs one pinned frame if it can be hung now."""
    at, run = f[t.AT_PINS] + pin * t.PINS, r[t.IN_VATS] + v * t.RUN_VATS
    o, place, half = f[at + t.P_OP], f[at + t.P_POSITION], f[at + t.P_HALF]
    op, vat = f[t.AT_OPS] + o * t.OPS, f[t.AT_VATS] + v * t.VATS
    if place < 0:
        place = free_place(f, r, v)
    if place < 0 or r[r[t.IN_PLACES] + (v * f[t.PLACES] + place) * t.RUN_PLACES + t.L_OP] >= 0:
        return False
    if f[op + t.O_BATH] != r[run + t.R_BATH] or f[op + t.O_DEPTH] > f[vat + t.V_DEPTH]:
        return False
    if r[r[t.IN_WAX] + f[op + t.O_WAX]] < f[op + t.O_GRAMS]:
        return False
    if hands == 1 and r[r[t.IN_HUNG_IN] + half] >= f[f[t.AT_HALVES] + half * t.HALVES + t.H_THREADS]:
        return False
    if fits_in(f, r, v, o, now, r[run + t.R_UNTIL]) != 1:
        return False
    r[r[t.IN_QUEUE] + 2 * o + 1] += 1
    hang(f, r, v, place, o, now, r[run + t.R_UNTIL])
    return True
