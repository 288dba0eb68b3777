"""Which frame is hung next over a vat, and where: the rule of the simulation. No Django.

Like turns.py, loops to be compiled as they stand. A frame is hung only where it, and every frame that hangs already,
is done within its limit even if the turns stay as long as they are with it; pins come first and keep their positions.
"""

from production.dip_plan import tables as t
from production.dip_plan.moments import after_turns, fit_turn, turns_before
from production.dip_plan.pinning import hang_pinned, limit_beside_pins
from production.dip_plan.placing import fits_in, free_place, hang


def hang_all(f, r, v, now, hands, rule, push):
    """Hangs what can be hung over a vat at `now`. The second from which another look pays though no frame is done;
    NEVER where it does not."""
    at, count = r[t.IN_VATS] + v * t.RUN_VATS, r[t.IN_COUNT]
    half, positions, wake = r[at + t.R_HALF], f[f[t.AT_VATS] + v * t.VATS + t.V_POSITIONS], t.NEVER
    if now >= r[at + t.R_UNTIL]:
        return wake
    if f[t.N_PINS] > 0:
        wake = hang_pinned(f, r, v, now, hands)
    r[count + t.C_STAMP] += 1
    r[count + t.C_BLOCKED] = 0
    while r[at + t.R_HUNG] < positions:
        spare = t.NEVER
        if hands == 1:
            threads = f[f[t.AT_HALVES] + half * t.HALVES + t.H_THREADS]
            spare = threads - r[r[t.IN_HUNG_IN] + half] - r[r[t.IN_RESERVED] + half]
        o = first_in_rank(f, r, v, now, spare, rule, push)
        if o < 0:
            break
        place, limit = free_place(f, r, v), r[at + t.R_UNTIL]
        if f[t.N_PINS] > 0:
            limit = limit_beside_pins(f, r, v, place)
        fits = fits_in(f, r, v, o, now, limit)
        if fits == 1:
            hang(f, r, v, place, o, now, limit)
            continue
        r[r[t.IN_SKIP] + o] = r[count + t.C_STAMP]
        if fits < 0:
            wake = min(wake, f[f[t.AT_DAYS] + r[at + t.R_DAY] * t.DAYS + t.D_ENDS])
    if r[count + t.C_BLOCKED] > 0:
        wake = min(wake, f[f[t.AT_HALVES] + half * t.HALVES + t.H_ENDS])
    return wake


def first_in_rank(f, r, v, now, spare, rule, push):
    """The op whose next frame should hang first of those that may, -1 for none."""
    at, stamp = r[t.IN_VATS] + v * t.RUN_VATS, r[r[t.IN_COUNT] + t.C_STAMP]
    bath, depth = f[t.AT_BATHS] + r[at + t.R_BATH] * t.BATHS, f[f[t.AT_VATS] + v * t.VATS + t.V_DEPTH]
    best, best_rank, best_due = -1, -t.NEVER, t.NEVER
    for place in range(f[t.AT_BATH_OPS] + f[bath + t.B_FROM], f[t.AT_BATH_OPS] + f[bath + t.B_TO]):
        o = f[place]
        op, queue = f[t.AT_OPS] + o * t.OPS, r[t.IN_QUEUE] + 2 * o
        if r[queue] >= r[queue + 1] or r[r[t.IN_SKIP] + o] == stamp or f[op + t.O_DEPTH] > depth:
            continue
        if f[op + t.O_NEW] == 1:
            if spare <= 0 or r[at + t.R_HALF] < f[t.FROZEN]:
                r[r[t.IN_COUNT] + t.C_BLOCKED] = 1
                continue
            if r[r[t.IN_WAX] + f[op + t.O_WAX]] < f[op + t.O_GRAMS]:
                continue
        n = f[op + t.O_SLOT] + r[queue]
        slot = f[t.AT_SLOTS] + n * t.SLOTS
        due = f[slot + t.S_DUE] + push[n]
        rank = -due
        if rule > 0:
            ahead = max(0, due - f[op + t.O_WORK] - now) * 32 // rule
            rank = f[slot + t.S_WORTH] * f[f[t.AT_DECAY] + min(ahead, 255)] // f[op + t.O_TURNS]
        if rank > best_rank or (rank == best_rank and due < best_due):
            best, best_rank, best_due = o, rank, due
    return best


def next_turns(f, r, v, now, wake):
    """Counts the turns to the next thing that happens at the vat: a frame done, or another look at `wake`."""
    at = r[t.IN_VATS] + v * t.RUN_VATS
    if r[at + t.R_HUNG] == 0:
        r[at + t.R_TURNS] = 0
        r[at + t.R_NEXT] = min(wake, r[at + t.R_UNTIL])
        return
    least, day, turn = t.NEVER, r[at + t.R_DAY], r[at + t.R_TURN]
    for place in range(f[f[t.AT_VATS] + v * t.VATS + t.V_POSITIONS]):
        p = r[t.IN_PLACES] + (v * f[t.PLACES] + place) * t.RUN_PLACES
        if r[p + t.L_OP] < 0:
            continue
        left, dips = r[p + t.L_LEFT], f[f[t.AT_OPS] + r[p + t.L_OP] * t.OPS + t.O_DIPS]
        least = min(least, left)
        if left == dips:  # the coming turn is its first dip
            r[r[p + t.L_ROW] + t.K_FIRST] = now
        elif left > dips:  # it was hung just now, and is dipped from the turn after this one on
            hung = now + (left - dips) * turn
            r[r[p + t.L_ROW] + t.K_FIRST] = fit_turn(f, day, hung, turn)
    r[at + t.R_TURNS] = least
    r[at + t.R_NEXT] = after_turns(f, day, now, turn, least)
    if wake < r[at + t.R_NEXT]:
        wake_vat(f, r, v, wake)


def wake_vat(f, r, v, moment):
    """The vat is to look again at the first turn that begins at `moment` or later, if it has a position free."""
    at = r[t.IN_VATS] + v * t.RUN_VATS
    if r[at + t.R_HUNG] >= f[f[t.AT_VATS] + v * t.VATS + t.V_POSITIONS] or moment >= r[at + t.R_UNTIL]:
        return
    base = r[at + t.R_BASE]
    if r[at + t.R_HUNG] == 0:
        r[at + t.R_NEXT] = min(r[at + t.R_NEXT], max(moment, base))
        return
    day, turn, look = r[at + t.R_DAY], r[at + t.R_TURN], base
    turns = turns_before(f, day, base, turn, moment)
    if turns > 0:
        look = after_turns(f, day, base, turn, turns)
    look = max(moment, look)
    if look < r[at + t.R_NEXT]:
        r[at + t.R_TURNS] = turns
        r[at + t.R_NEXT] = look
