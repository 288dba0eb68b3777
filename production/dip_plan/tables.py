"""The floor as rows of whole numbers, flat: what the simulation's loops run over. No Django.

The loops (turns.py, weigh.py, search.py) are plain Python on plain lists, and are also compiled as they stand, on
arrays of the same numbers; so both give the same plan to the bit. A row `r` of a table with so many columns starts at
`r * COLUMNS`; the columns are named here.
"""

from typing import NamedTuple

NEVER = 1 << 60
OPEN = 1 << 40  # later than any date

# size: how many of each, and what the whole floor has in common
N_VATS, N_HALVES, N_DAYS, N_BATHS, N_OPS, N_ITEMS, N_WANTS, N_STARTED, N_PINS, N_SLOTS, N_GROUPS, N_PARTS = range(12)
FROZEN, HORIZON, UNFILLED, PLACES = 12, 13, 14, 15  # half-days; second; the date unfilled pairs count by; positions

DAYS = 5
D_STARTS, D_ENDS, D_OPENS, D_CLOSES, D_DATE = range(DAYS)  # seconds of work; seconds by the clock; ordinal
HALVES = 4
H_STARTS, H_ENDS, H_DAY, H_THREADS = range(HALVES)
VATS = 3
V_POSITIONS, V_DEPTH, V_BATH = range(VATS)
BATHS = 3
B_PART, B_FROM, B_TO = range(BATHS)  # part: baths that cannot be simulated one without the other
# An op is one stage of a candle, or of one started frame.
OPS = 16
O_BATH, O_DIPS, O_TURNS, O_TURN_S, O_DIP_S, O_DEPTH, O_NEXT, O_ITEM, O_WORK, O_SLOT = range(10)
O_NEW, O_STARTED, O_COUNT, O_WAX, O_GRAMS, O_FRESH = range(10, 16)  # fresh: its frames have hung nowhere yet
SLOTS = 2
S_DUE, S_WORTH = range(SLOTS)  # the n-th frame of an op: second it should be off by, weighted pairs it brings
HUNG = 3
G_VAT, G_POSITION, G_OP = range(HUNG)
PINS = 5
P_VAT, P_HALF, P_POSITION, P_OP, P_AT = range(PINS)
ITEMS = 7
I_HARDEN, I_COUNTED, I_MOST, I_NEED, I_FROM, I_TO, I_PART = range(ITEMS)
WANTS = 6
W_PAIRS, W_DUE, W_WEIGHT, W_GROUP, W_ALL, W_ITEM = range(WANTS)  # all: with promised ones; group -1: pair by pair
STARTED = 6
T_ITEM, T_SPARE, T_READY, T_FROM, T_TO, T_PART = range(STARTED)  # ready: of one that is off already, -1 otherwise
PROMISED = 2
M_WANT, M_PAIRS = range(PROMISED)

# what changes while the turns run
RUN_VATS = 10
R_BASE, R_TURN, R_TURNS, R_NEXT, R_HALF, R_DAY, R_LAST, R_UNTIL, R_BATH, R_HUNG = range(RUN_VATS)
RUN_PLACES = 5
L_OP, L_LEFT, L_FRAME, L_LIMIT, L_ROW = range(RUN_PLACES)
ROWS = 7
K_OP, K_FRAME, K_VAT, K_POSITION, K_STARTS, K_FIRST, K_ENDS = range(ROWS)
C_ROWS, C_FRAMES, C_STAMP, C_BLOCKED, C_MISSED = range(5)
PENDING, KEPT, MISSED = range(3)


class Floor(NamedTuple):
    """A problem, in rows. Nothing in it changes while it is planned."""

    size: list
    days: list
    halves: list
    vats: list
    change: list
    baths: list
    bath_ops: list
    ops: list
    slots: list
    hung: list
    pins: list
    items: list
    counted: list
    item_wants: list
    wants: list
    started: list
    promised: list
    wax: list
    decay: list
    groups: list  # from where in group_wants, one more than there are groups
    group_wants: list
    locked: list  # [vat, half]: the bath it must hold, or -1
    may: list  # [vat, bath]: 1 where it may be changed to


class Run(NamedTuple):
    """The floor in mid-turn, and what came of it."""

    vats: list
    places: list
    queue: list  # [op]: frames taken, frames there
    frames: list  # [slot]: the frame
    rows: list
    count: list
    pins: list
    reserved: list  # [half]: pinned frames still to be threaded
    hung_in: list  # [half]: new frames hung
    hung_of: list  # [item]: new frames hung
    made: list  # [item, day]: new frames ready
    spare: list  # [item, day]: firsts of started frames that nobody was promised
    back: list  # [started]: day ready, -1 if never
    wax: list
    skip: list
    done: list  # [want]: date (ordinal) of its last pair; OPEN where it is not there, 0 where none is wanted


def new_run(floor: Floor) -> Run:
    """An empty run for this floor, to be used over and over."""
    size = floor.size
    places = max(size[PLACES], 1)
    rows = size[N_SLOTS] + len(floor.hung) // HUNG + 1
    return Run(
        vats=[0] * (size[N_VATS] * RUN_VATS),
        places=[-1] * (size[N_VATS] * places * RUN_PLACES),
        queue=[0] * (2 * size[N_OPS]),
        frames=[0] * (size[N_SLOTS] + 1),
        rows=[0] * (rows * ROWS),
        count=[0] * 5,
        pins=[0] * (size[N_PINS] + 1),
        reserved=[0] * (size[N_HALVES] + 1),
        hung_in=[0] * (size[N_HALVES] + 1),
        hung_of=[0] * (size[N_ITEMS] + 1),
        made=[0] * (size[N_ITEMS] * size[N_DAYS] + 1),
        spare=[0] * (size[N_ITEMS] * size[N_DAYS] + 1),
        back=[-1] * (size[N_STARTED] + 1),
        wax=list(floor.wax),
        skip=[0] * (size[N_OPS] + 1),
        done=[0] * (size[N_WANTS] + 1),
    )
