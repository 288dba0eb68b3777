"""The floor as whole numbers in a row: what the simulation's loops run over. No Django.

The loops (turns.py, weigh.py, search.py) are plain Python on plain lists, and are also compiled as they stand, on
arrays of the same numbers; so both give the same plan to the bit. Everything about a floor stands in one list, for
compiled functions pass one array much faster than many: first the sizes, then where each table begins (AT_...), then
the tables. Row `n` of a table with so many columns begins at n * COLUMNS; the columns are named here. A run, the floor
in mid-turn, is another such list (IN_...).
"""

from typing import NamedTuple

NEVER = 1 << 60
OPEN = 1 << 40  # later than any date

# size: how many of each, and what the whole floor has in common
N_VATS, N_HALVES, N_DAYS, N_BATHS, N_OPS, N_ITEMS, N_WANTS, N_STARTED, N_PINS, N_SLOTS, N_GROUPS, N_PARTS = range(12)
FROZEN, HORIZON, UNFILLED, PLACES, N_HUNG, N_WAX = range(12, 18)
# FROZEN half-days; HORIZON, a second; UNFILLED, the date such pairs count by; PLACES, most positions a vat has
AT_DAYS, AT_HALVES, AT_VATS, AT_CHANGE, AT_BATHS, AT_BATH_OPS, AT_OPS, AT_SLOTS, AT_HUNG, AT_PINS = range(18, 28)
AT_ITEMS, AT_COUNTED, AT_ITEM_WANTS, AT_WANTS, AT_STARTED, AT_PROMISED, AT_WAX, AT_DECAY = range(28, 36)
AT_GROUPS, AT_GROUP_WANTS, AT_LOCKED, AT_MAY, SIZES = 36, 37, 38, 39, 40

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
IN_VATS, IN_PLACES, IN_QUEUE, IN_FRAMES, IN_ROWS, IN_COUNT, IN_PINS, IN_RESERVED = range(8)
IN_HUNG_IN, IN_HUNG_OF, IN_MADE, IN_SPARE, IN_BACK, IN_WAX, IN_SKIP, IN_DONE, TABLES = range(8, 17)
RUN_VATS = 12
R_BASE, R_TURN, R_TURNS, R_NEXT, R_HALF, R_DAY, R_LAST, R_UNTIL, R_BATH, R_HUNG, R_LONGEST, R_DIPS = range(RUN_VATS)
RUN_PLACES = 5
L_OP, L_LEFT, L_FRAME, L_LIMIT, L_ROW = range(RUN_PLACES)
ROWS = 7
K_OP, K_FRAME, K_VAT, K_POSITION, K_STARTS, K_FIRST, K_ENDS = range(ROWS)
COUNTS = 5
C_ROWS, C_FRAMES, C_STAMP, C_BLOCKED, C_MISSED = range(COUNTS)
PENDING, KEPT, MISSED = range(3)

# a search
S_DICE = 0  # and 1
S_SCORE, S_BEST_SCORE = 2, 3
S_NOW, S_NEW, S_BEST, S_LATE, S_TRY, S_HUNG, S_TRY_HUNG, S_MARK, S_DONE, S_TRY_DONE, S_TABLES = range(4, 15)
TRIES = 3  # of a part: weighted late pair-days, frames over, pins missed
MISSED_COST = 1 << 30  # of a pin that is not kept: no plan is bought with it


class Floor(NamedTuple):
    """A problem, in tables, in the order of the AT_ constants. Nothing in it changes while it is planned."""

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


def flat(floor: Floor) -> list[int]:
    """Sizes, beginnings and tables of a floor in one list."""
    size, *tables = floor
    numbers = [*size, *([0] * len(tables))]
    for place, table in enumerate(tables):
        numbers[len(size) + place] = len(numbers)
        numbers += table
    return numbers


def new_run(floor: list[int]) -> list[int]:
    """A run for this floor, to be used over and over: where its tables begin, and their room."""
    items, halves = floor[N_ITEMS], floor[N_HALVES]
    room = {
        IN_VATS: floor[N_VATS] * RUN_VATS,
        IN_PLACES: floor[N_VATS] * floor[PLACES] * RUN_PLACES,
        IN_QUEUE: 2 * floor[N_OPS],  # frames taken, frames there
        IN_FRAMES: floor[N_SLOTS],  # the frame in each slot
        IN_ROWS: (floor[N_SLOTS] + floor[N_HUNG]) * ROWS,
        IN_COUNT: COUNTS,
        IN_PINS: floor[N_PINS],
        IN_RESERVED: halves,  # pinned frames still to be threaded in a half-day
        IN_HUNG_IN: halves,  # new frames hung in a half-day
        IN_HUNG_OF: items,  # new frames hung of an item
        IN_MADE: items * floor[N_DAYS],  # new frames ready, by item and day
        IN_SPARE: items * floor[N_DAYS],  # firsts of started frames that nobody was promised, by item and day
        IN_BACK: floor[N_STARTED],  # day on which a started frame is ready, -1 if never
        IN_WAX: floor[N_WAX],
        IN_SKIP: floor[N_OPS],
        IN_DONE: floor[N_WANTS],  # date of a want's last pair; OPEN where it is not there, 0 where none is wanted
    }
    run = [0] * TABLES
    for table, numbers in room.items():
        run[table] = len(run)
        run += [0] * numbers
    return run


def new_search(floor: list[int], baths: list[int], seed: int) -> list[int]:
    """A search that stands on a flat table of baths, with its dice thrown by `seed`."""
    cells, parts, halves = floor[N_VATS] * floor[N_HALVES], floor[N_PARTS], floor[N_HALVES]
    room = {S_NOW: cells, S_NEW: cells, S_BEST: cells, S_LATE: parts * TRIES, S_TRY: parts * TRIES}
    room |= {S_HUNG: parts * halves, S_TRY_HUNG: parts * halves, S_MARK: parts}
    room |= {S_DONE: floor[N_WANTS], S_TRY_DONE: floor[N_WANTS]}
    search = [0] * S_TABLES
    search[S_DICE], search[S_DICE + 1] = 1 + seed * 7919 % 2147483562, 1 + seed * 104729 % 2147483398
    for table, numbers in room.items():
        search[table] = len(search)
        search += [0] * numbers
    search[search[S_NOW] : search[S_NOW] + cells] = baths
    return search
