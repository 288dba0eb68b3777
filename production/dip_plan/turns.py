"""Every turn of every vat, as numbers: frames are hung by a rule on a table of baths. No Django.

Plain loops on flat tables (tables.py), to be read and run as Python and to be compiled as they stand (compiled.py).
Vats are taken in order of time; where a vat has a free position at the start of a turn, the frame that ranks first
and is done before its bath changes is hung. `part` restricts a run to baths that depend on one another, -1 is all.
`rule`: 0 hangs by `due` + `push` alone; above 0, so many seconds ahead a frame that is not yet pressing is felt.
"""

from production.dip_plan import tables as t
from production.dip_plan.hanging import hang_all, next_turns, wake_vat
from production.dip_plan.moments import day_from, fit_turn, half_from, ready_from
from production.dip_plan.placing import put


def run_turns(f, r, baths, table, part, hands, rule, push):
    """Simulates the table of baths ([vat, half]) that begins at `table`. `hands`: 1 keeps to a half-day's threads,
    0 only counts."""
    reset(f, r, part)
    for v in range(f[t.N_VATS]):
        next_bath(f, r, baths, table, v, 0, part)
    hang_what_hangs(f, r, part)
    going = True
    while going:
        now, v = t.NEVER, -1
        for u in range(f[t.N_VATS]):
            moment = r[r[t.IN_VATS] + u * t.RUN_VATS + t.R_NEXT]
            if moment < now:
                now, v = moment, u
        going = v >= 0
        if going:
            step(f, r, baths, table, v, part, hands, rule, push)
    missed = 0
    for pin in range(f[t.N_PINS]):
        op = f[t.AT_OPS] + f[f[t.AT_PINS] + pin * t.PINS + t.P_OP] * t.OPS
        mine = part < 0 or f[f[t.AT_BATHS] + f[op + t.O_BATH] * t.BATHS + t.B_PART] == part
        if mine and r[r[t.IN_PINS] + pin] != t.KEPT:
            missed += 1
    r[r[t.IN_COUNT] + t.C_MISSED] = missed


def reset(f, r, part):
    """The floor as it is when the plan begins."""
    for o in range(f[t.N_OPS]):
        r[r[t.IN_QUEUE] + 2 * o] = 0
        r[r[t.IN_QUEUE] + 2 * o + 1] = f[f[t.AT_OPS] + o * t.OPS + t.O_COUNT]
    for i in range(f[t.N_ITEMS]):
        if part < 0 or f[f[t.AT_ITEMS] + i * t.ITEMS + t.I_PART] == part:
            r[r[t.IN_HUNG_OF] + i] = 0
            for d in range(r[t.IN_MADE] + i * f[t.N_DAYS], r[t.IN_MADE] + (i + 1) * f[t.N_DAYS]):
                r[d] = 0
    for s in range(f[t.N_STARTED]):
        if part < 0 or f[f[t.AT_STARTED] + s * t.STARTED + t.T_PART] == part:
            r[r[t.IN_BACK] + s] = f[f[t.AT_STARTED] + s * t.STARTED + t.T_READY]
    for w in range(f[t.N_WAX]):
        r[r[t.IN_WAX] + w] = f[f[t.AT_WAX] + w]
    for h in range(f[t.N_HALVES]):
        r[r[t.IN_HUNG_IN] + h] = 0
        r[r[t.IN_RESERVED] + h] = 0
    for pin in range(f[t.N_PINS]):
        r[r[t.IN_PINS] + pin] = t.PENDING
        r[r[t.IN_RESERVED] + f[f[t.AT_PINS] + pin * t.PINS + t.P_HALF]] += 1
    for p in range(f[t.N_VATS] * f[t.PLACES]):
        r[r[t.IN_PLACES] + p * t.RUN_PLACES + t.L_OP] = -1
    r[r[t.IN_COUNT] + t.C_ROWS] = 0
    r[r[t.IN_COUNT] + t.C_FRAMES] = 0


def next_bath(f, r, baths, table, v, half, part):
    """The vat goes on to its next stretch of one bath, at `half` or after it, that belongs to the part."""
    halves, at, mine = f[t.N_HALVES], r[t.IN_VATS] + v * t.RUN_VATS, table + v * f[t.N_HALVES]
    for field in range(t.RUN_VATS):
        r[at + field] = 0
    r[at + t.R_NEXT] = t.NEVER
    r[at + t.R_BATH] = -1
    busy = 0
    while half < halves and r[at + t.R_BATH] < 0:
        bath, last = baths[mine + half], half + 1
        while last < halves and baths[mine + last] == bath:
            last += 1
        before = f[f[t.AT_VATS] + v * t.VATS + t.V_BATH] if half == 0 else baths[mine + half - 1]
        change = f[f[t.AT_CHANGE] + before * f[t.N_BATHS] + bath]
        begins = max(busy, f[f[t.AT_HALVES] + half * t.HALVES + t.H_STARTS] + change)
        until = f[f[t.AT_HALVES] + last * t.HALVES + t.H_STARTS] if last < halves else f[t.HORIZON]
        busy = begins
        mine_too = part < 0 or f[f[t.AT_BATHS] + bath * t.BATHS + t.B_PART] == part
        if mine_too and begins < until:
            r[at + t.R_BASE] = begins
            r[at + t.R_NEXT] = begins
            r[at + t.R_BATH] = bath
            r[at + t.R_LAST] = last
            r[at + t.R_UNTIL] = until
            r[at + t.R_HALF] = half
            r[at + t.R_DAY] = f[f[t.AT_HALVES] + half * t.HALVES + t.H_DAY]
        half = last


def hang_what_hangs(f, r, part):
    """Frames over their vats when the plan begins: they need no hanging, and stay until they are done."""
    for g in range(f[t.N_HUNG]):
        hung = f[t.AT_HUNG] + g * t.HUNG
        v, o = f[hung + t.G_VAT], f[hung + t.G_OP]
        op, at = f[t.AT_OPS] + o * t.OPS, r[t.IN_VATS] + v * t.RUN_VATS
        if part < 0 or f[f[t.AT_BATHS] + f[op + t.O_BATH] * t.BATHS + t.B_PART] == part:
            limit = r[at + t.R_UNTIL] if r[at + t.R_UNTIL] < f[t.HORIZON] else t.NEVER
            frame = r[r[t.IN_COUNT] + t.C_FRAMES]
            r[r[t.IN_COUNT] + t.C_FRAMES] += 1
            put(f, r, v, f[hung + t.G_POSITION], o, frame, 0, f[op + t.O_DIPS], limit)


def step(f, r, baths, table, v, part, hands, rule, push):
    """What happens at one vat between two turns: frames done come off, others are hung, the next turns are counted."""
    at = r[t.IN_VATS] + v * t.RUN_VATS
    now = r[at + t.R_NEXT]
    if r[at + t.R_TURNS] > 0:
        count_turns(f, r, v, now)
    if now >= r[at + t.R_UNTIL] and r[at + t.R_HUNG] == 0:
        next_bath(f, r, baths, table, v, r[at + t.R_LAST], part)
        return
    day = day_from(f, r[at + t.R_DAY], now)
    if day >= f[t.N_DAYS]:
        r[at + t.R_NEXT] = t.NEVER
        return
    r[at + t.R_DAY] = day
    begins = fit_turn(f, day, now, r[at + t.R_TURN])
    r[at + t.R_BASE] = begins
    r[at + t.R_NEXT] = begins
    if begins == now:
        r[at + t.R_HALF] = half_from(f, r[at + t.R_HALF], now)
        wake = hang_all(f, r, v, now, hands, rule, push)
        next_turns(f, r, v, now, wake)


def count_turns(f, r, v, now):
    """So many turns are over: frames that had all their dips come off, and the turn is as long as the rest needs."""
    at = r[t.IN_VATS] + v * t.RUN_VATS
    turns, longest, dips = r[at + t.R_TURNS], 0, 0
    r[at + t.R_TURNS] = 0
    for place in range(f[f[t.AT_VATS] + v * t.VATS + t.V_POSITIONS]):
        p = r[t.IN_PLACES] + (v * f[t.PLACES] + place) * t.RUN_PLACES
        o = r[p + t.L_OP]
        if o < 0:
            continue
        r[p + t.L_LEFT] -= turns
        if r[p + t.L_LEFT] <= 0:
            r[p + t.L_OP] = -1
            r[at + t.R_HUNG] -= 1
            r[r[p + t.L_ROW] + t.K_ENDS] = now
            take_off(f, r, v, o, r[p + t.L_FRAME], now)
        else:
            longest = max(longest, f[f[t.AT_OPS] + o * t.OPS + t.O_TURN_S])
            dips += f[f[t.AT_OPS] + o * t.OPS + t.O_DIP_S]
    r[at + t.R_LONGEST] = longest
    r[at + t.R_DIPS] = dips
    r[at + t.R_TURN] = max(longest, dips)


def take_off(f, r, v, o, frame, now):
    """A stage is done: the frame waits for the next one, or hardens."""
    op = f[t.AT_OPS] + o * t.OPS
    onward = f[op + t.O_NEXT]
    if onward >= 0:
        queue, next_op = r[t.IN_QUEUE] + 2 * onward, f[t.AT_OPS] + onward * t.OPS
        r[r[t.IN_FRAMES] + f[next_op + t.O_SLOT] + r[queue + 1]] = frame
        r[queue + 1] += 1
        for u in range(f[t.N_VATS]):
            if u != v and r[r[t.IN_VATS] + u * t.RUN_VATS + t.R_BATH] == f[next_op + t.O_BATH]:
                wake_vat(f, r, u, now)
        return
    item, started = f[op + t.O_ITEM], f[op + t.O_STARTED]
    harden = f[f[t.AT_ITEMS] + item * t.ITEMS + t.I_HARDEN]
    ready = ready_from(f, r[r[t.IN_VATS] + v * t.RUN_VATS + t.R_DAY], now, harden)
    if started >= 0:
        r[r[t.IN_BACK] + started] = ready
    elif ready >= 0:
        r[r[t.IN_MADE] + item * f[t.N_DAYS] + ready] += 1
