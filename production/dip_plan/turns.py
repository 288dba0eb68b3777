"""Every turn of every vat, as numbers: frames are hung by a rule on a table of baths. No Django.

Plain loops on flat tables (tables.py), to be read and run as Python and to be compiled as they stand (compiled.py).
Vats are taken in order of time; where a vat has a free position at the start of a turn, the frame that ranks first
and is done before its bath changes is hung. `part` restricts a run to baths that depend on one another, -1 is all.
`rule`: 0 hangs by `due` + `push` alone; above 0, so many seconds ahead a frame that is not yet pressing is felt.
"""

from production.dip_plan import tables as t
from production.dip_plan.hanging import hang_all, next_turns, put, set_turn, wake_vat
from production.dip_plan.moments import day_from, fit_turn, half_from, ready_from


def run_turns(f, r, baths, part, hands, rule, push):
    """Simulates the table `baths` ([vat, half]); `hands`: 1 keeps to the threads of a half-day, 0 only counts."""
    reset(f, r, part)
    for v in range(f.size[t.N_VATS]):
        next_bath(f, r, baths, v, 0, part)
    hang_what_hangs(f, r, part)
    while True:
        now, v = t.NEVER, -1
        for u in range(f.size[t.N_VATS]):
            if r.vats[u * t.RUN_VATS + t.R_NEXT] < now:
                now, v = r.vats[u * t.RUN_VATS + t.R_NEXT], u
        if v < 0:
            break
        step(f, r, baths, v, part, hands, rule, push)
    missed = 0
    for pin in range(f.size[t.N_PINS]):
        o = f.pins[pin * t.PINS + t.P_OP]
        if r.pins[pin] != t.KEPT and (part < 0 or f.baths[f.ops[o * t.OPS + t.O_BATH] * t.BATHS + t.B_PART] == part):
            missed += 1
    r.count[t.C_MISSED] = missed


def reset(f, r, part):
    days = f.size[t.N_DAYS]
    for o in range(f.size[t.N_OPS]):
        r.queue[2 * o] = 0
        r.queue[2 * o + 1] = f.ops[o * t.OPS + t.O_COUNT]
    for i in range(f.size[t.N_ITEMS]):
        if part < 0 or f.items[i * t.ITEMS + t.I_PART] == part:
            r.hung_of[i] = 0
            for d in range(i * days, (i + 1) * days):
                r.made[d] = 0
    for s in range(f.size[t.N_STARTED]):
        if part < 0 or f.started[s * t.STARTED + t.T_PART] == part:
            r.back[s] = f.started[s * t.STARTED + t.T_READY]
    for w in range(len(f.wax)):
        r.wax[w] = f.wax[w]
    for h in range(f.size[t.N_HALVES]):
        r.hung_in[h] = 0
        r.reserved[h] = 0
    for pin in range(f.size[t.N_PINS]):
        r.pins[pin] = t.PENDING
        r.reserved[f.pins[pin * t.PINS + t.P_HALF]] += 1
    for p in range(len(r.places) // t.RUN_PLACES):
        r.places[p * t.RUN_PLACES + t.L_OP] = -1
    r.count[t.C_ROWS] = 0
    r.count[t.C_FRAMES] = 0


def next_bath(f, r, baths, v, half, part):
    """The vat goes on to its next stretch of one bath, at `half` or after it, that belongs to the part."""
    halves = f.size[t.N_HALVES]
    at = v * t.RUN_VATS
    r.vats[at + t.R_HUNG] = 0
    r.vats[at + t.R_TURNS] = 0
    r.vats[at + t.R_TURN] = 0
    r.vats[at + t.R_NEXT] = t.NEVER
    r.vats[at + t.R_BATH] = -1
    while half < halves:
        bath = baths[v * halves + half]
        last = half + 1
        while last < halves and baths[v * halves + last] == bath:
            last += 1
        if part < 0 or f.baths[bath * t.BATHS + t.B_PART] == part:
            before = f.vats[v * t.VATS + t.V_BATH] if half == 0 else baths[v * halves + half - 1]
            begins = f.halves[half * t.HALVES + t.H_STARTS] + f.change[before * f.size[t.N_BATHS] + bath]
            until = f.halves[last * t.HALVES + t.H_STARTS] if last < halves else f.size[t.HORIZON]
            if begins < until:
                r.vats[at + t.R_BASE] = begins
                r.vats[at + t.R_NEXT] = begins
                r.vats[at + t.R_BATH] = bath
                r.vats[at + t.R_LAST] = last
                r.vats[at + t.R_UNTIL] = until
                r.vats[at + t.R_HALF] = half
                r.vats[at + t.R_DAY] = day_from(f, 0, begins)
                return
        half = last


def hang_what_hangs(f, r, part):
    """Frames over their vats when the plan begins: they need no hanging, and stay until they are done."""
    for g in range(len(f.hung) // t.HUNG):
        v, place, o = f.hung[g * t.HUNG + t.G_VAT], f.hung[g * t.HUNG + t.G_POSITION], f.hung[g * t.HUNG + t.G_OP]
        if part >= 0 and f.baths[f.ops[o * t.OPS + t.O_BATH] * t.BATHS + t.B_PART] != part:
            continue
        put(f, r, v, place, o, r.count[t.C_FRAMES], 0)
        r.count[t.C_FRAMES] += 1
        p, until = (v * f.size[t.PLACES] + place) * t.RUN_PLACES, r.vats[v * t.RUN_VATS + t.R_UNTIL]
        r.places[p + t.L_LEFT] = f.ops[o * t.OPS + t.O_DIPS]
        r.places[p + t.L_LIMIT] = until if until < f.size[t.HORIZON] else t.NEVER
        set_turn(f, r, v)


def step(f, r, baths, v, part, hands, rule, push):
    """What happens at one vat between two turns: frames done come off, others are hung, the next turns are counted."""
    at = v * t.RUN_VATS
    now = r.vats[at + t.R_NEXT]
    if r.vats[at + t.R_TURNS] > 0:
        count_turns(f, r, v, now)
    if now >= r.vats[at + t.R_UNTIL] and r.vats[at + t.R_HUNG] == 0:
        next_bath(f, r, baths, v, r.vats[at + t.R_LAST], part)
        return
    day = day_from(f, r.vats[at + t.R_DAY], now)
    if day >= f.size[t.N_DAYS]:
        r.vats[at + t.R_NEXT] = t.NEVER
        return
    r.vats[at + t.R_DAY] = day
    begins = fit_turn(f, day, now, r.vats[at + t.R_TURN])
    if begins > now:
        r.vats[at + t.R_BASE] = begins
        r.vats[at + t.R_NEXT] = begins
        return
    r.vats[at + t.R_BASE] = now
    r.vats[at + t.R_HALF] = half_from(f, r.vats[at + t.R_HALF], now)
    wake = hang_all(f, r, v, now, hands, rule, push)
    next_turns(f, r, v, now, wake)


def count_turns(f, r, v, now):
    """So many turns are over: frames that had all their dips come off, and the turn is as long as the rest needs."""
    at = v * t.RUN_VATS
    turns = r.vats[at + t.R_TURNS]
    r.vats[at + t.R_TURNS] = 0
    for place in range(f.vats[v * t.VATS + t.V_POSITIONS]):
        p = (v * f.size[t.PLACES] + place) * t.RUN_PLACES
        o = r.places[p + t.L_OP]
        if o < 0:
            continue
        r.places[p + t.L_LEFT] -= turns
        if r.places[p + t.L_LEFT] <= 0:
            r.places[p + t.L_OP] = -1
            r.vats[at + t.R_HUNG] -= 1
            r.rows[r.places[p + t.L_ROW] * t.ROWS + t.K_ENDS] = now
            take_off(f, r, v, o, r.places[p + t.L_FRAME], now)
    set_turn(f, r, v)


def take_off(f, r, v, o, frame, now):
    """A stage is done: the frame waits for the next one, or hardens."""
    onward = f.ops[o * t.OPS + t.O_NEXT]
    if onward >= 0:
        there = r.queue[2 * onward + 1]
        r.frames[f.ops[onward * t.OPS + t.O_SLOT] + there] = frame
        r.queue[2 * onward + 1] = there + 1
        for u in range(f.size[t.N_VATS]):
            if u != v and r.vats[u * t.RUN_VATS + t.R_BATH] == f.ops[onward * t.OPS + t.O_BATH]:
                wake_vat(f, r, u, now)
        return
    item = f.ops[o * t.OPS + t.O_ITEM]
    ready = ready_from(f, r.vats[v * t.RUN_VATS + t.R_DAY], now, f.items[item * t.ITEMS + t.I_HARDEN])
    started = f.ops[o * t.OPS + t.O_STARTED]
    if started >= 0:
        r.back[started] = ready
    elif ready >= 0:
        r.made[item * f.size[t.N_DAYS] + ready] += 1
