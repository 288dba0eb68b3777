"""Which frame is hung next over a vat, and where: the rule of the simulation. No Django.

Like turns.py, loops to be compiled as they stand. A frame is hung only where it, and every frame that hangs already,
is done within its limit even if the turns stay as long as they are with it; pins come first and keep their positions.
"""

from production.dip_plan import tables as t
from production.dip_plan.moments import after_turns, fit_turn, turns_before


def hang_all(f, r, v, now, hands, rule, push):
    """Hangs what can be hung over a vat at `now`. The second from which another look pays though no frame is done;
    NEVER where it does not."""
    at = v * t.RUN_VATS
    half = r.vats[at + t.R_HALF]
    wake = t.NEVER
    if now >= r.vats[at + t.R_UNTIL]:
        return wake
    if f.size[t.N_PINS] > 0:
        wake = hang_pinned(f, r, v, now, hands)
    if r.vats[at + t.R_HUNG] >= f.vats[v * t.VATS + t.V_POSITIONS]:
        return wake
    r.count[t.C_STAMP] += 1
    r.count[t.C_BLOCKED] = 0
    while r.vats[at + t.R_HUNG] < f.vats[v * t.VATS + t.V_POSITIONS]:
        spare = t.NEVER
        if hands == 1:
            spare = f.halves[half * t.HALVES + t.H_THREADS] - r.hung_in[half] - r.reserved[half]
        o = first_in_rank(f, r, v, now, spare, rule, push)
        if o < 0:
            break
        place = free_place(f, r, v)
        limit = limit_of(f, r, v, place)
        fits = fits_in(f, r, v, o, now, limit)
        if fits == 1:
            hang(f, r, v, place, o, now, limit)
        else:
            r.skip[o] = r.count[t.C_STAMP]
            if fits < 0:
                wake = min(wake, f.days[r.vats[at + t.R_DAY] * t.DAYS + t.D_ENDS])
    if r.count[t.C_BLOCKED] > 0:
        wake = min(wake, f.halves[half * t.HALVES + t.H_ENDS])
    return wake


def first_in_rank(f, r, v, now, spare, rule, push):
    """The op whose next frame should hang first of those that may, -1 for none."""
    bath = r.vats[v * t.RUN_VATS + t.R_BATH]
    frozen = r.vats[v * t.RUN_VATS + t.R_HALF] < f.size[t.FROZEN]
    best, best_rank, best_due = -1, -t.NEVER, t.NEVER
    for place in range(f.baths[bath * t.BATHS + t.B_FROM], f.baths[bath * t.BATHS + t.B_TO]):
        o = f.bath_ops[place]
        op = o * t.OPS
        taken = r.queue[2 * o]
        if taken >= r.queue[2 * o + 1] or r.skip[o] == r.count[t.C_STAMP]:
            continue
        if f.ops[op + t.O_DEPTH] > f.vats[v * t.VATS + t.V_DEPTH]:
            continue
        if f.ops[op + t.O_NEW] == 1:
            if spare <= 0 or frozen:
                r.count[t.C_BLOCKED] = 1
                continue
            if r.wax[f.ops[op + t.O_WAX]] < f.ops[op + t.O_GRAMS]:
                continue
        slot = f.ops[op + t.O_SLOT] + taken
        due = f.slots[slot * t.SLOTS + t.S_DUE] + push[slot]
        rank = -due
        if rule > 0:
            ahead = max(0, due - f.ops[op + t.O_WORK] - now) * 32 // rule
            rank = f.slots[slot * t.SLOTS + t.S_WORTH] * f.decay[min(ahead, 255)] // f.ops[op + t.O_TURNS]
        if rank > best_rank or (rank == best_rank and due < best_due):
            best, best_rank, best_due = o, rank, due
    return best


def free_place(f, r, v):
    """The first free position, one that no pin names where there is such a one."""
    pinned = -1
    for place in range(f.vats[v * t.VATS + t.V_POSITIONS]):
        if r.places[(v * f.size[t.PLACES] + place) * t.RUN_PLACES + t.L_OP] < 0:
            if f.size[t.N_PINS] == 0 or not is_named(f, r, v, place):
                return place
            if pinned < 0:
                pinned = place
    return pinned


def is_named(f, r, v, place):
    for pin in range(f.size[t.N_PINS]):
        at = pin * t.PINS
        if r.pins[pin] == t.PENDING and f.pins[at + t.P_VAT] == v and f.pins[at + t.P_POSITION] == place:
            return f.pins[at + t.P_HALF] < r.vats[v * t.RUN_VATS + t.R_LAST]
    return False


def limit_of(f, r, v, place):
    """By when a frame at that position must be done: before the bath goes, and before a pin needs the position."""
    limit = r.vats[v * t.RUN_VATS + t.R_UNTIL]
    if f.size[t.N_PINS] == 0:
        return limit
    free, anywhere, soonest = 0, 0, t.NEVER
    for other in range(f.vats[v * t.VATS + t.V_POSITIONS]):
        if r.places[(v * f.size[t.PLACES] + other) * t.RUN_PLACES + t.L_OP] < 0 and not is_named(f, r, v, other):
            free += 1
    for pin in range(f.size[t.N_PINS]):
        at = pin * t.PINS
        if r.pins[pin] != t.PENDING or f.pins[at + t.P_VAT] != v:
            continue
        if f.pins[at + t.P_POSITION] == place:
            limit = min(limit, f.pins[at + t.P_AT])
        if f.pins[at + t.P_POSITION] < 0 and f.pins[at + t.P_HALF] < r.vats[v * t.RUN_VATS + t.R_LAST]:
            anywhere += 1
            soonest = min(soonest, f.pins[at + t.P_AT])
    return min(limit, soonest) if free <= anywhere else limit


def fits_in(f, r, v, o, now, limit):
    """1: it can be hung with the turn that begins now; 0: something would not be done in time; -1: today is too short
    for a turn with it."""
    at, op = v * t.RUN_VATS, o * t.OPS
    day = r.vats[at + t.R_DAY]
    longest, dips = f.ops[op + t.O_TURN_S], f.ops[op + t.O_DIP_S]
    first = v * f.size[t.PLACES]
    for place in range(first, first + f.vats[v * t.VATS + t.V_POSITIONS]):
        other = r.places[place * t.RUN_PLACES + t.L_OP]
        if other >= 0:
            longest = max(longest, f.ops[other * t.OPS + t.O_TURN_S])
            dips += f.ops[other * t.OPS + t.O_DIP_S]
    turn = max(longest, dips)
    if now + turn > f.days[day * t.DAYS + t.D_ENDS]:
        return -1
    if after_turns(f, day, now, turn, f.ops[op + t.O_TURNS]) > limit:
        return 0
    if turn > r.vats[at + t.R_TURN] > 0:
        for place in range(first, first + f.vats[v * t.VATS + t.V_POSITIONS]):
            p = place * t.RUN_PLACES
            limit = r.places[p + t.L_LIMIT]
            if r.places[p + t.L_OP] >= 0 and after_turns(f, day, now, turn, r.places[p + t.L_LEFT]) > limit:
                return 0
    return 1


def hang(f, r, v, place, o, now, limit):
    """Puts the op's next frame there, to be dipped from the turn after this one on."""
    op, slot = o * t.OPS, f.ops[o * t.OPS + t.O_SLOT] + r.queue[2 * o]
    frame = r.frames[slot]
    if f.ops[op + t.O_FRESH] == 1:
        frame = r.count[t.C_FRAMES]
        r.count[t.C_FRAMES] += 1
    if f.ops[op + t.O_NEW] == 1:
        r.hung_in[r.vats[v * t.RUN_VATS + t.R_HALF]] += 1
        r.hung_of[f.ops[op + t.O_ITEM]] += 1
        r.wax[f.ops[op + t.O_WAX]] -= f.ops[op + t.O_GRAMS]
    r.queue[2 * o] += 1
    put(f, r, v, place, o, frame, now)
    p = (v * f.size[t.PLACES] + place) * t.RUN_PLACES
    r.places[p + t.L_LEFT] = f.ops[op + t.O_TURNS]
    r.places[p + t.L_LIMIT] = limit
    set_turn(f, r, v)


def put(f, r, v, place, o, frame, now):
    """Writes the hanging down, and fills the position."""
    row, p = r.count[t.C_ROWS], (v * f.size[t.PLACES] + place) * t.RUN_PLACES
    r.rows[row * t.ROWS + t.K_OP] = o
    r.rows[row * t.ROWS + t.K_FRAME] = frame
    r.rows[row * t.ROWS + t.K_VAT] = v
    r.rows[row * t.ROWS + t.K_POSITION] = place
    r.rows[row * t.ROWS + t.K_STARTS] = now
    r.rows[row * t.ROWS + t.K_FIRST] = now
    r.rows[row * t.ROWS + t.K_ENDS] = t.NEVER
    r.places[p + t.L_OP] = o
    r.places[p + t.L_FRAME] = frame
    r.places[p + t.L_ROW] = row
    r.count[t.C_ROWS] += 1
    r.vats[v * t.RUN_VATS + t.R_HUNG] += 1


def set_turn(f, r, v):
    """The turn is as long as what hangs needs it; 0 where nothing hangs."""
    longest, dips = 0, 0
    for place in range(f.vats[v * t.VATS + t.V_POSITIONS]):
        o = r.places[(v * f.size[t.PLACES] + place) * t.RUN_PLACES + t.L_OP]
        if o >= 0:
            longest = max(longest, f.ops[o * t.OPS + t.O_TURN_S])
            dips += f.ops[o * t.OPS + t.O_DIP_S]
    r.vats[v * t.RUN_VATS + t.R_TURN] = max(longest, dips)


def hang_pinned(f, r, v, now, hands):
    """Hangs the pinned frames whose hour has come; gives up those whose half-day is over. When to look again."""
    half, wake = r.vats[v * t.RUN_VATS + t.R_HALF], t.NEVER
    for pin in range(f.size[t.N_PINS]):
        at = pin * t.PINS
        o, due_in = f.pins[at + t.P_OP], f.pins[at + t.P_HALF]
        if r.pins[pin] != t.PENDING or f.pins[at + t.P_VAT] != v:
            continue
        if due_in < half:
            r.pins[pin] = t.MISSED
            r.reserved[due_in] -= 1
            if r.queue[2 * o + 1] < f.items[f.ops[o * t.OPS + t.O_ITEM] * t.ITEMS + t.I_NEED]:
                r.queue[2 * o + 1] += 1
        elif f.pins[at + t.P_AT] > now or due_in > half:
            wake = min(wake, f.pins[at + t.P_AT])
        else:
            hang_pin(f, r, v, pin, now, hands)
            if r.pins[pin] == t.PENDING:
                wake = min(wake, f.halves[half * t.HALVES + t.H_ENDS])
    return wake


def hang_pin(f, r, v, pin, now, hands):
    at = pin * t.PINS
    o, place, half = f.pins[at + t.P_OP], f.pins[at + t.P_POSITION], f.pins[at + t.P_HALF]
    if place < 0:
        place = free_place(f, r, v)
    if place < 0 or r.places[(v * f.size[t.PLACES] + place) * t.RUN_PLACES + t.L_OP] >= 0:
        return
    op = o * t.OPS
    if f.ops[op + t.O_BATH] != r.vats[v * t.RUN_VATS + t.R_BATH]:
        return
    if f.ops[op + t.O_DEPTH] > f.vats[v * t.VATS + t.V_DEPTH] or r.wax[f.ops[op + t.O_WAX]] < f.ops[op + t.O_GRAMS]:
        return
    if hands == 1 and r.hung_in[half] >= f.halves[half * t.HALVES + t.H_THREADS]:
        return
    until = r.vats[v * t.RUN_VATS + t.R_UNTIL]
    if fits_in(f, r, v, o, now, until) == 1:
        r.queue[2 * o + 1] += 1
        hang(f, r, v, place, o, now, until)
        r.pins[pin] = t.KEPT
        r.reserved[half] -= 1


def next_turns(f, r, v, now, wake):
    """Counts the turns to the next thing that happens at the vat: a frame done, or another look at `wake`."""
    at = v * t.RUN_VATS
    if r.vats[at + t.R_HUNG] == 0:
        r.vats[at + t.R_TURNS] = 0
        r.vats[at + t.R_NEXT] = min(wake, r.vats[at + t.R_UNTIL])
        return
    left = t.NEVER
    for place in range(f.vats[v * t.VATS + t.V_POSITIONS]):
        p = (v * f.size[t.PLACES] + place) * t.RUN_PLACES
        o = r.places[p + t.L_OP]
        if o >= 0:
            left = min(left, r.places[p + t.L_LEFT])
            set_first(f, r, v, p, now)
    day, turn = r.vats[at + t.R_DAY], r.vats[at + t.R_TURN]
    r.vats[at + t.R_TURNS] = left
    r.vats[at + t.R_NEXT] = after_turns(f, day, now, turn, left)
    if wake < r.vats[at + t.R_NEXT]:
        wake_vat(f, r, v, wake)


def set_first(f, r, v, p, now):
    """When a frame's first dip begins, told by the turns it still has: the coming turn, or the one after it."""
    left, o = r.places[p + t.L_LEFT], r.places[p + t.L_OP]
    dips, row = f.ops[o * t.OPS + t.O_DIPS], r.places[p + t.L_ROW] * t.ROWS
    if left == dips:
        r.rows[row + t.K_FIRST] = now
    elif left > dips:
        day, turn = r.vats[v * t.RUN_VATS + t.R_DAY], r.vats[v * t.RUN_VATS + t.R_TURN]
        day_ends = f.days[day * t.DAYS + t.D_ENDS]
        hung = after_turns(f, day, now, turn, left - dips)
        while day_ends < hung:
            day += 1
            day_ends = f.days[day * t.DAYS + t.D_ENDS] if day < f.size[t.N_DAYS] else t.NEVER
        r.rows[row + t.K_FIRST] = fit_turn(f, day, hung, turn)


def wake_vat(f, r, v, moment):
    """The vat is to look again at the first turn that begins at `moment` or later, if it has a position free."""
    at = v * t.RUN_VATS
    if r.vats[at + t.R_HUNG] >= f.vats[v * t.VATS + t.V_POSITIONS] or moment >= r.vats[at + t.R_UNTIL]:
        return
    base = r.vats[at + t.R_BASE]
    if r.vats[at + t.R_HUNG] == 0:
        r.vats[at + t.R_NEXT] = min(r.vats[at + t.R_NEXT], max(moment, base))
        return
    day, turn = r.vats[at + t.R_DAY], r.vats[at + t.R_TURN]
    turns = turns_before(f, day, base, turn, moment)
    look = max(moment, after_turns(f, day, base, turn, turns) if turns > 0 else base)
    if look < r.vats[at + t.R_NEXT]:
        r.vats[at + t.R_TURNS] = turns
        r.vats[at + t.R_NEXT] = look
