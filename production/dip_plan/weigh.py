"""What a simulated table of baths costs: late pair-days, change-overs, frames over. No Django.

Like turns.py, loops to be compiled as they stand; evaluate.py says the same of a plan pair by pair, with dates.
"""

from production.dip_plan import tables as t


def weigh(f, r, part):
    """Weighted late pair-days of the part's wants, those in whole groups left out: `late_groups` adds them up from
    the dates done, which is written here."""
    late = 0
    share_spares(f, r, part)
    for i in range(f[t.N_ITEMS]):
        if part < 0 or f[f[t.AT_ITEMS] + i * t.ITEMS + t.I_PART] == part:
            late += share_item(f, r, i)
    for s in range(f[t.N_STARTED]):
        if part < 0 or f[f[t.AT_STARTED] + s * t.STARTED + t.T_PART] == part:
            late += share_promised(f, r, s)
    return late


def share_spares(f, r, part):
    days = f[t.N_DAYS]
    for i in range(f[t.N_ITEMS]):
        if part < 0 or f[f[t.AT_ITEMS] + i * t.ITEMS + t.I_PART] == part:
            for d in range(i * days, (i + 1) * days):
                r[r[t.IN_SPARE] + d] = 0
    for s in range(f[t.N_STARTED]):
        if (part < 0 or f[f[t.AT_STARTED] + s * t.STARTED + t.T_PART] == part) and r[r[t.IN_BACK] + s] >= 0:
            r[r[t.IN_SPARE] + f[f[t.AT_STARTED] + s * t.STARTED + t.T_ITEM] * days + r[r[t.IN_BACK] + s]] += f[
                f[t.AT_STARTED] + s * t.STARTED + t.T_SPARE
            ]


def share_item(f, r, i):
    """Gives an item's pairs, as days bring them, to its wants in their order."""
    days, late, day, there, frames, date = f[t.N_DAYS], 0, 0, 0, 0, 0
    counted, most = f[f[t.AT_ITEMS] + i * t.ITEMS + t.I_COUNTED], f[f[t.AT_ITEMS] + i * t.ITEMS + t.I_MOST]
    for place in range(f[f[t.AT_ITEMS] + i * t.ITEMS + t.I_FROM], f[f[t.AT_ITEMS] + i * t.ITEMS + t.I_TO]):
        w = f[f[t.AT_ITEM_WANTS] + place]
        wanted, due = f[f[t.AT_WANTS] + w * t.WANTS + t.W_PAIRS], f[f[t.AT_WANTS] + w * t.WANTS + t.W_DUE]
        done, missing = 0, 0
        while wanted > 0:
            while there == 0 and day < days:
                new = r[r[t.IN_MADE] + i * days + day]
                there = r[r[t.IN_SPARE] + i * days + day]
                if new > 0:
                    there += (
                        f[f[t.AT_COUNTED] + counted + min(frames + new, most)]
                        - f[f[t.AT_COUNTED] + counted + min(frames, most)]
                    )
                    frames += new
                date = f[f[t.AT_DAYS] + day * t.DAYS + t.D_DATE]
                day += 1
            if there == 0:
                missing += wanted * max(0, f[t.UNFILLED] - due)
                done = t.OPEN
                break
            pairs = min(wanted, there)
            wanted -= pairs
            there -= pairs
            missing += pairs * max(0, date - due)
            done = date
        r[r[t.IN_DONE] + w] = done
        if f[f[t.AT_WANTS] + w * t.WANTS + t.W_GROUP] < 0:
            late += missing * f[f[t.AT_WANTS] + w * t.WANTS + t.W_WEIGHT]
    return late


def share_promised(f, r, s):
    """Pairs a started frame hangs for, whenever it comes."""
    late, done, date = 0, t.OPEN, f[t.UNFILLED]
    if r[r[t.IN_BACK] + s] >= 0:
        date = f[f[t.AT_DAYS] + r[r[t.IN_BACK] + s] * t.DAYS + t.D_DATE]
        done = date
    for m in range(f[f[t.AT_STARTED] + s * t.STARTED + t.T_FROM], f[f[t.AT_STARTED] + s * t.STARTED + t.T_TO]):
        w = f[f[t.AT_PROMISED] + m * t.PROMISED + t.M_WANT]
        r[r[t.IN_DONE] + w] = max(r[r[t.IN_DONE] + w], done)
        if f[f[t.AT_WANTS] + w * t.WANTS + t.W_GROUP] < 0:
            days = max(0, date - f[f[t.AT_WANTS] + w * t.WANTS + t.W_DUE])
            late += (
                days * f[f[t.AT_PROMISED] + m * t.PROMISED + t.M_PAIRS] * f[f[t.AT_WANTS] + w * t.WANTS + t.W_WEIGHT]
            )
    return late


def late_groups(f, done, begins):
    """Weighted late pair-days of whole groups: every pair is there when the last one is. `done`: by want."""
    late = 0
    for g in range(f[t.N_GROUPS]):
        last = 0
        for place in range(f[f[t.AT_GROUPS] + g], f[f[t.AT_GROUPS] + g + 1]):
            last = max(last, done[begins + f[f[t.AT_GROUP_WANTS] + place]])
        if last == t.OPEN:
            last = f[t.UNFILLED]
        for place in range(f[f[t.AT_GROUPS] + g], f[f[t.AT_GROUPS] + g + 1]):
            w = f[f[t.AT_GROUP_WANTS] + place] * t.WANTS
            late += (
                f[f[t.AT_WANTS] + w + t.W_ALL]
                * f[f[t.AT_WANTS] + w + t.W_WEIGHT]
                * max(0, last - f[f[t.AT_WANTS] + w + t.W_DUE])
            )
    return late


def change_seconds(f, baths, table):
    """Seconds of change-over in the table of baths that begins at `table`."""
    halves, kinds, seconds = f[t.N_HALVES], f[t.N_BATHS], 0
    for v in range(f[t.N_VATS]):
        before = f[f[t.AT_VATS] + v * t.VATS + t.V_BATH]
        for h in range(halves):
            bath = baths[table + v * halves + h]
            seconds += f[f[t.AT_CHANGE] + before * kinds + bath]
            before = bath
    return seconds


def frames_over(f, r, part):
    """New frames hung beyond the fewest that the wants need."""
    over = 0
    for i in range(f[t.N_ITEMS]):
        if part < 0 or f[f[t.AT_ITEMS] + i * t.ITEMS + t.I_PART] == part:
            over += max(0, r[r[t.IN_HUNG_OF] + i] - f[f[t.AT_ITEMS] + i * t.ITEMS + t.I_NEED])
    return over
