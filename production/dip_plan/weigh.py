"""What a simulated table of baths costs: late pair-days, change-overs, frames over. No Django.

Like turns.py, loops to be compiled as they stand; evaluate.py says the same of a plan pair by pair, with dates.
"""

from production.dip_plan import tables as t


def weigh(f, r, part):
    """Weighted late pair-days of the part's wants, those in whole groups left out: `late_groups` adds them up from
    `r.done`, which is written here."""
    late = 0
    share_spares(f, r, part)
    for i in range(f.size[t.N_ITEMS]):
        if part < 0 or f.items[i * t.ITEMS + t.I_PART] == part:
            late += share_item(f, r, i)
    for s in range(f.size[t.N_STARTED]):
        if part < 0 or f.started[s * t.STARTED + t.T_PART] == part:
            late += share_promised(f, r, s)
    return late


def share_spares(f, r, part):
    days = f.size[t.N_DAYS]
    for i in range(f.size[t.N_ITEMS]):
        if part < 0 or f.items[i * t.ITEMS + t.I_PART] == part:
            for d in range(i * days, (i + 1) * days):
                r.spare[d] = 0
    for s in range(f.size[t.N_STARTED]):
        if (part < 0 or f.started[s * t.STARTED + t.T_PART] == part) and r.back[s] >= 0:
            r.spare[f.started[s * t.STARTED + t.T_ITEM] * days + r.back[s]] += f.started[s * t.STARTED + t.T_SPARE]


def share_item(f, r, i):
    """Gives an item's pairs, as days bring them, to its wants in their order."""
    days, late, day, there, frames, date = f.size[t.N_DAYS], 0, 0, 0, 0, 0
    counted, most = f.items[i * t.ITEMS + t.I_COUNTED], f.items[i * t.ITEMS + t.I_MOST]
    for place in range(f.items[i * t.ITEMS + t.I_FROM], f.items[i * t.ITEMS + t.I_TO]):
        w = f.item_wants[place]
        wanted, due = f.wants[w * t.WANTS + t.W_PAIRS], f.wants[w * t.WANTS + t.W_DUE]
        done, missing = 0, 0
        while wanted > 0:
            while there == 0 and day < days:
                new = r.made[i * days + day]
                there = r.spare[i * days + day]
                if new > 0:
                    there += f.counted[counted + min(frames + new, most)] - f.counted[counted + min(frames, most)]
                    frames += new
                date = f.days[day * t.DAYS + t.D_DATE]
                day += 1
            if there == 0:
                missing += wanted * max(0, f.size[t.UNFILLED] - due)
                done = t.OPEN
                break
            pairs = min(wanted, there)
            wanted -= pairs
            there -= pairs
            missing += pairs * max(0, date - due)
            done = date
        r.done[w] = done
        if f.wants[w * t.WANTS + t.W_GROUP] < 0:
            late += missing * f.wants[w * t.WANTS + t.W_WEIGHT]
    return late


def share_promised(f, r, s):
    """Pairs a started frame hangs for, whenever it comes."""
    late, done, date = 0, t.OPEN, f.size[t.UNFILLED]
    if r.back[s] >= 0:
        date = f.days[r.back[s] * t.DAYS + t.D_DATE]
        done = date
    for m in range(f.started[s * t.STARTED + t.T_FROM], f.started[s * t.STARTED + t.T_TO]):
        w = f.promised[m * t.PROMISED + t.M_WANT]
        r.done[w] = max(r.done[w], done)
        if f.wants[w * t.WANTS + t.W_GROUP] < 0:
            days = max(0, date - f.wants[w * t.WANTS + t.W_DUE])
            late += days * f.promised[m * t.PROMISED + t.M_PAIRS] * f.wants[w * t.WANTS + t.W_WEIGHT]
    return late


def late_groups(f, done):
    """Weighted late pair-days of whole groups: every pair is there when the last one is."""
    late = 0
    for g in range(f.size[t.N_GROUPS]):
        last = 0
        for place in range(f.groups[g], f.groups[g + 1]):
            last = max(last, done[f.group_wants[place]])
        if last == t.OPEN:
            last = f.size[t.UNFILLED]
        for place in range(f.groups[g], f.groups[g + 1]):
            w = f.group_wants[place] * t.WANTS
            late += f.wants[w + t.W_ALL] * f.wants[w + t.W_WEIGHT] * max(0, last - f.wants[w + t.W_DUE])
    return late


def change_seconds(f, baths):
    """Seconds of change-over in the table of baths."""
    halves, kinds, seconds = f.size[t.N_HALVES], f.size[t.N_BATHS], 0
    for v in range(f.size[t.N_VATS]):
        before = f.vats[v * t.VATS + t.V_BATH]
        for h in range(halves):
            bath = baths[v * halves + h]
            seconds += f.change[before * kinds + bath]
            before = bath
    return seconds


def frames_over(f, r, part):
    """New frames hung beyond the fewest that the wants need."""
    over = 0
    for i in range(f.size[t.N_ITEMS]):
        if part < 0 or f.items[i * t.ITEMS + t.I_PART] == part:
            over += max(0, r.hung_of[i] - f.items[i * t.ITEMS + t.I_NEED])
    return over
