"""Annealing on the table of baths: every move is simulated. No Django.

Like turns.py, loops to be compiled as they stand, on whole numbers only. A move changes some half-days of a vat or
two; only the parts (tables.py) whose baths it touches are simulated again. Hands bind all parts: where a half-day
would have more to thread than it can, everything is simulated together, and that is what the move is judged by.
The state of a search stands in one list, as floor and run do: `moves.py` makes the moves on it.
"""

from production.dip_plan import tables as t
from production.dip_plan.moves import dice, make_move
from production.dip_plan.turns import run_turns
from production.dip_plan.weigh import change_seconds, frames_over, late_groups, weigh


def begin(f, r, s, rule, push):
    """Scores the table the search stands on, part by part, and keeps it as the best."""
    for part in range(f[t.N_PARTS]):
        try_part(f, r, s, s[t.S_NOW], part, rule, push)
        keep_part(f, r, s, part)
        s[s[t.S_MARK] + part] = 0
    s[t.S_SCORE] = score_of(f, r, s, s[t.S_NOW], rule, push)
    s[t.S_BEST_SCORE] = s[t.S_SCORE]
    copy_table(f, s, s[t.S_NOW], s[t.S_NEW])
    copy_table(f, s, s[t.S_NOW], s[t.S_BEST])


def anneal(f, r, s, heat, chances, moves, rule, push):
    """So many moves. `heat`: hundredths of cost, falling over the moves of this call; `chances`: -ln of shares."""
    for move in range(moves):
        warm = heat[move * len(heat) // moves]
        allowed = s[t.S_SCORE] + warm * chances[dice(s, len(chances))] // (1024 * 100)
        if not make_move(f, s):
            continue
        if mark_parts(f, s) and not is_hopeless(f, r, s, allowed, rule, push):
            score = score_of(f, r, s, s[t.S_NEW], rule, push)
            if score <= allowed:
                accept(f, r, s, score)
        copy_table(f, s, s[t.S_NOW], s[t.S_NEW])
        for part in range(f[t.N_PARTS]):
            s[s[t.S_MARK] + part] = 0


def mark_parts(f, s):
    """Marks the parts that a move touches; False where it breaks a lock, or changes nothing."""
    halves, kinds, changed = f[t.N_HALVES], f[t.N_BATHS], False
    for v in range(f[t.N_VATS]):
        before_was = f[f[t.AT_VATS] + v * t.VATS + t.V_BATH]
        before_is, held = before_was, before_was
        kept = True
        for h in range(v * halves, (v + 1) * halves):
            was, is_ = s[s[t.S_NOW] + h], s[s[t.S_NEW] + h]
            kept = kept and is_ == held
            if f[f[t.AT_MAY] + v * kinds + is_] == 0 and not kept:
                return False
            if was != is_:
                changed = True
                if f[f[t.AT_LOCKED] + h] >= 0:
                    return False
                s[s[t.S_MARK] + f[f[t.AT_BATHS] + was * t.BATHS + t.B_PART]] = 1
                s[s[t.S_MARK] + f[f[t.AT_BATHS] + is_ * t.BATHS + t.B_PART]] = 1
            elif before_was != before_is:
                change = f[t.AT_CHANGE]
                if f[change + before_was * kinds + was] != f[change + before_is * kinds + is_]:
                    s[s[t.S_MARK] + f[f[t.AT_BATHS] + is_ * t.BATHS + t.B_PART]] = 1
            before_was, before_is = was, is_
    return changed


def is_hopeless(f, r, s, allowed, rule, push):
    """Simulates the marked parts; True as soon as what they cost alone is more than the whole may."""
    least = change_seconds(f, s, s[t.S_NEW]) // 60
    for part in range(f[t.N_PARTS]):
        if s[s[t.S_MARK] + part] == 0:
            least += part_cost(s, s[t.S_LATE], part)
    for part in range(f[t.N_PARTS]):
        if s[s[t.S_MARK] + part] == 1:
            if least > allowed:
                return True
            try_part(f, r, s, s[t.S_NEW], part, rule, push)
            least += part_cost(s, s[t.S_TRY], part)
    return least > allowed


def part_cost(s, table, part):
    at = table + part * t.TRIES
    return s[at] * 100 + s[at + 1] + s[at + 2] * t.MISSED_COST


def try_part(f, r, s, table, part, rule, push):
    """Simulates one part of a table without regard to hands; what comes of it stands under S_TRY."""
    run_turns(f, r, s, table, part, 0, rule, push)
    at, halves = s[t.S_TRY] + part * t.TRIES, f[t.N_HALVES]
    s[at] = weigh(f, r, part)
    s[at + 1] = frames_over(f, r, part)
    s[at + 2] = r[r[t.IN_COUNT] + t.C_MISSED]
    for h in range(halves):
        s[s[t.S_TRY_HUNG] + part * halves + h] = r[r[t.IN_HUNG_IN] + h]
    s[s[t.S_MARK] + part] = 1


def score_of(f, r, s, table, rule, push):
    """What the table costs in all, its marked parts as they were tried last."""
    score, halves, parts = change_seconds(f, s, table) // 60, f[t.N_HALVES], f[t.N_PARTS]
    for h in range(halves):
        hung = 0
        for part in range(parts):
            row = s[t.S_TRY_HUNG] if s[s[t.S_MARK] + part] == 1 else s[t.S_HUNG]
            hung += s[row + part * halves + h]
        if hung > f[f[t.AT_HALVES] + h * t.HALVES + t.H_THREADS]:
            return score + whole_cost(f, r, s, table, rule, push)
    for part in range(parts):
        score += part_cost(s, s[t.S_TRY] if s[s[t.S_MARK] + part] == 1 else s[t.S_LATE], part)
    if f[t.N_GROUPS] > 0:
        for w in range(f[t.N_WANTS]):
            item = f[f[t.AT_WANTS] + w * t.WANTS + t.W_ITEM]
            tried = s[s[t.S_MARK] + f[f[t.AT_ITEMS] + item * t.ITEMS + t.I_PART]] == 1
            s[s[t.S_TRY_DONE] + w] = r[r[t.IN_DONE] + w] if tried else s[s[t.S_DONE] + w]
        score += 100 * late_groups(f, s, s[t.S_TRY_DONE])
    return score


def whole_cost(f, r, s, table, rule, push):
    """Everything simulated together, with no more threaded in a half-day than can be. Parts tried keep their dates."""
    for w in range(f[t.N_WANTS]):
        s[s[t.S_TRY_DONE] + w] = r[r[t.IN_DONE] + w]
    run_turns(f, r, s, table, -1, 1, rule, push)
    cost = 100 * weigh(f, r, -1) + frames_over(f, r, -1) + r[r[t.IN_COUNT] + t.C_MISSED] * t.MISSED_COST
    cost += 100 * late_groups(f, r, r[t.IN_DONE])
    for w in range(f[t.N_WANTS]):
        r[r[t.IN_DONE] + w] = s[s[t.S_TRY_DONE] + w]
    return cost


def accept(f, r, s, score):
    """The move stands."""
    s[t.S_SCORE] = score
    for part in range(f[t.N_PARTS]):
        if s[s[t.S_MARK] + part] == 1:
            keep_part(f, r, s, part)
    copy_table(f, s, s[t.S_NEW], s[t.S_NOW])
    if score < s[t.S_BEST_SCORE]:
        s[t.S_BEST_SCORE] = score
        copy_table(f, s, s[t.S_NEW], s[t.S_BEST])


def keep_part(f, r, s, part):
    """What was tried of a part is what it costs now."""
    halves = f[t.N_HALVES]
    for at in range(t.TRIES):
        s[s[t.S_LATE] + part * t.TRIES + at] = s[s[t.S_TRY] + part * t.TRIES + at]
    for h in range(part * halves, (part + 1) * halves):
        s[s[t.S_HUNG] + h] = s[s[t.S_TRY_HUNG] + h]
    for i in range(f[t.N_ITEMS]):
        item = f[t.AT_ITEMS] + i * t.ITEMS
        if f[item + t.I_PART] == part:
            for place in range(f[t.AT_ITEM_WANTS] + f[item + t.I_FROM], f[t.AT_ITEM_WANTS] + f[item + t.I_TO]):
                s[s[t.S_DONE] + f[place]] = r[r[t.IN_DONE] + f[place]]


def copy_table(f, s, source, target):
    for at in range(f[t.N_VATS] * f[t.N_HALVES]):
        s[target + at] = s[source + at]
