"""Moves on a table of baths. No Django.

Like turns.py, loops to be compiled as they stand. The dice are two small multiplicative generators of whole numbers
(L'Ecuyer 1988, from memory), the same in Python and compiled.
"""

from production.dip_plan import tables as t


def dice(s, sides):
    """A whole number from 0 to below `sides`."""
    s[t.S_DICE] = s[t.S_DICE] * 40014 % 2147483563
    s[t.S_DICE + 1] = s[t.S_DICE + 1] * 40692 % 2147483399
    return (s[t.S_DICE] + s[t.S_DICE + 1]) // 8 % sides


def make_move(f, s):
    """Changes the new table by one move; False where nothing came of it."""
    halves = f[t.N_HALVES]
    v = dice(s, f[t.N_VATS])
    row, kind = s[t.S_NEW] + v * halves, dice(s, 100)
    if kind < 35:
        return paint(f, s, v, row)
    if kind < 65:
        return shift_border(f, s, row)
    if kind < 80:
        return turn_round(f, s, row)
    if f[t.N_VATS] > 1 and kind < 90:
        return swap_vats(f, s, v, row)
    return slide(f, s, v, row)


def some_length(s, halves):
    """Short stretches more often than long ones."""
    return min(halves, 1 + dice(s, 1 + dice(s, 8)) + dice(s, 2))


def some_bath(f, s, v):
    """A bath that the vat may hold, any of them alike."""
    kinds = f[t.N_BATHS]
    bath = dice(s, kinds)
    for _ in range(kinds):
        if f[f[t.AT_MAY] + v * kinds + bath] == 1:
            return bath
        bath = (bath + 1) % kinds
    return bath


def paint(f, s, v, row):
    """A stretch of half-days gets another bath, one of its neighbours' or any."""
    halves = f[t.N_HALVES]
    length = some_length(s, halves)
    begins = dice(s, halves - length + 1)
    bath, kind = some_bath(f, s, v), dice(s, 4)
    if kind == 0 and begins > 0:
        bath = s[row + begins - 1]
    if kind == 1 and begins + length < halves:
        bath = s[row + begins + length]
    for h in range(begins, begins + length):
        s[row + h] = bath
    return True


def some_border(f, s, row):
    """A half-day at which the bath changes, looked for from anywhere on; 0 where it never does."""
    halves = f[t.N_HALVES]
    if halves < 2:
        return 0
    h = 1 + dice(s, halves - 1)
    for _ in range(halves - 1):
        if s[row + h] != s[row + h - 1]:
            return h
        h = h + 1 if h + 1 < halves else 1
    return 0


def shift_border(f, s, row):
    """The bath changes sooner or later than it did."""
    halves, h, by = f[t.N_HALVES], some_border(f, s, row), 1 + dice(s, 1 + dice(s, 4))
    if h == 0:
        return False
    if dice(s, 2) == 0:
        bath = s[row + h - 1]
        for at in range(h, min(halves, h + by)):
            s[row + at] = bath
    else:
        bath = s[row + h]
        for at in range(max(0, h - by), h):
            s[row + at] = bath
    return True


def stretch_ends(f, s, row, h):
    """Where the stretch of one bath ends that begins at `h`."""
    ends = h + 1
    while ends < f[t.N_HALVES] and s[row + ends] == s[row + h]:
        ends += 1
    return ends


def turn_round(f, s, row):
    """Two stretches that follow one another change places."""
    middle = some_border(f, s, row)
    if middle == 0:
        return False
    begins, ends = middle - 1, stretch_ends(f, s, row, middle)
    while begins > 0 and s[row + begins - 1] == s[row + middle - 1]:
        begins -= 1
    rotate(s, row, begins, ends, ends - middle)
    return True


def rotate(s, row, begins, ends, by):
    """Moves a stretch of the row `by` places to the right, round its ends."""
    reverse(s, row + begins, row + ends)
    reverse(s, row + begins, row + begins + by)
    reverse(s, row + begins + by, row + ends)


def reverse(s, begins, ends):
    ends -= 1
    while begins < ends:
        s[begins], s[ends] = s[ends], s[begins]
        begins += 1
        ends -= 1


def swap_vats(f, s, v, row):
    """Two vats change their baths for a while, or from then on."""
    halves = f[t.N_HALVES]
    other = s[t.S_NEW] + (v + 1 + dice(s, f[t.N_VATS] - 1)) % f[t.N_VATS] * halves
    begins = dice(s, halves)
    ends = min(halves, begins + 1 + dice(s, 12)) if dice(s, 3) > 0 else halves
    for h in range(begins, ends):
        s[row + h], s[other + h] = s[other + h], s[row + h]
    return True


def slide(f, s, v, row):
    """Half-days are put in, or taken out, at one place, and made up for at another: what lies between slides along."""
    halves = f[t.N_HALVES]
    begins = dice(s, halves)
    ends = min(halves, begins + 2 + dice(s, 16))
    by = 1 + dice(s, 3)
    if ends - begins <= by:
        return False
    if dice(s, 2) == 0:
        bath = some_bath(f, s, v)
        if dice(s, 2) == 0:
            bath = s[row + begins]
        for h in range(ends - 1, begins + by - 1, -1):
            s[row + h] = s[row + h - by]
        for h in range(begins, begins + by):
            s[row + h] = bath
    else:
        bath = s[row + ends - 1]
        for h in range(begins, ends - by):
            s[row + h] = s[row + h + by]
        for h in range(ends - by, ends):
            s[row + h] = bath
    return True
