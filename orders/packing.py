"""Pairs into boxes. No Django here: lengths in mm, weights in g, whole pairs.

The rule of this house:

* A pair takes 1/n of the standard box, where n is the candle's "pairs to a box". Another kind of box holds as much
  more or less as its inside volume is larger or smaller than the standard one's. Candles of different kinds share
  a box as long as their parts of it add up to one box or less.
* The longest candle lies flat along the inside length; it is never put in across the diagonal, where it would bend.
* The pairs and the empty box together stay within the kind's weight limit.

Fewest boxes come first, then lines kept in one piece, then lots kept in one piece, then the least empty space.
Finding the fewest is bin packing, for which no quick exact way is known; several orders of "first box that has room"
are tried, the best is kept, and the answer says how far it may be from the least possible (`Proposal.in_words`).
"""

from collections.abc import Hashable, Sequence
from decimal import Decimal
from math import lcm

from orders.boxes import CannotPack, Filled, Kind, Piece, Proposal

# What is kept in one piece where a box takes it: a line, a lot, at least half or a quarter of a box's worth, nothing.
WHOLE = ("line", "lot", "half", "quarter", "")
MOST_BOXES = 300  # in one delivery: several vans full, so anything above is a slip of the finger


def room_in(kind: Kind, kinds: Sequence[Kind], contents: Sequence[tuple[Piece, int]]) -> str:
    """Why these pairs do not go into one box of that kind, naming the candle; empty where they do.

    `kinds` holds the standard box, which "pairs to a box" means.
    """
    box = _Scale([piece for piece, _ in contents], kinds).empty(kind)
    for piece, pairs in contents:
        if piece.length_mm > kind.length_mm:
            return f"{piece.candle} is {_plain(piece.length_mm)} mm long; {kind.name} is {kind.length_mm} mm inside."
        fits = box.takes(piece)
        if fits < pairs:
            full = "weight limit" if fits == box.by_weight(piece) else "space"
            return f"{kind.name} has {full} for {fits} more pairs of {piece.candle}, not {pairs}."
        box.put(piece, pairs)
    return ""


def smallest_kind(kinds: Sequence[Kind], contents: Sequence[tuple[Piece, int]]) -> Kind | None:
    """The kind with the least inside volume that takes these pairs in one box; None where none does."""
    by_volume = sorted(kinds, key=lambda kind: (kind.volume, not kind.standard, kind.name))
    return next((kind for kind in by_volume if not room_in(kind, kinds, contents)), None)


def pack_pairs(pieces: Sequence[Piece], kinds: Sequence[Kind]) -> Proposal:
    """Boxes for all pieces. CannotPack, naming the candle, where one pair of it fits no box at all."""
    scale = _Scale(pieces, kinds)
    for piece in pieces:
        scale.refuse_hopeless(piece)
    least, by = least_boxes(pieces, kinds)
    if least > MOST_BOXES:
        raise CannotPack(f"That is at least {least} boxes; one delivery takes at most {MOST_BOXES}. Send it in parts.")
    trials = [_fill(scale, order, whole) for order, whole in _ways(scale, pieces)] if pieces else [[]]
    fewest = min(map(_cost, trials))
    settled = [_settle(boxes, scale, pieces) for boxes in trials if _cost(boxes) == fewest]
    best = min(settled, key=lambda boxes: sum(box.kind.volume for box in boxes))
    return Proposal([Filled(box.kind, box.contents()) for box in best], least, by)


def least_boxes(pieces: Sequence[Piece], kinds: Sequence[Kind]) -> tuple[int, str]:
    """A proven lower bound on the number of boxes, and what proves it: volume, weight, or one candle's count.

    Pairs of at least some length only go into boxes of at least that length, so the bound is taken for the pairs
    above each length by themselves, against the roomiest and the strongest of the boxes that are left for them.
    """
    if not pieces:
        return 0, "volume"
    scale = _Scale(pieces, kinds)
    bounds = []
    for length in sorted({piece.length_mm for piece in pieces}):
        longer = [piece for piece in pieces if piece.length_mm >= length]
        fit = [kind for kind in kinds if kind.length_mm >= length]
        above = "" if len(longer) == len(pieces) else f" of what is {_plain(length)} mm and longer"
        sizes = [(scale.size[piece.per_box], piece.pairs) for piece in longer]
        weights = [(piece.centigrams, piece.pairs) for piece in longer]
        bounds.append((_bound(sizes, max(map(scale.capacity, fit))), "volume" + above))
        bounds.append((_bound(weights, max(map(scale.strength, fit))), "weight" + above))
    for line in _lines(pieces):
        most = max(scale.empty(kind).takes(line[0]) for kind in kinds)
        bounds.append((_ceil(sum(piece.pairs for piece in line), most), f"the count of {line[0].candle}"))
    return max(bounds, key=lambda bound: bound[0])


def _bound(items: list[tuple[int, int]], room: int) -> int:
    """Martello and Toth's bound L2 for (size, how many) in boxes of one room; at least the sum over the room.

    Items above half the room lie alone; what is small enough to be put beside them only adds boxes where the
    room they leave runs out. Every size k up to half is tried as the least size that counts.
    """
    best = 0
    for k in {0, *(size for size, _ in items if 2 * size <= room)}:
        alone = sum(count for size, count in items if size > room - k)
        large = [(size, count) for size, count in items if room < 2 * size and size <= room - k]
        small = sum(size * count for size, count in items if k <= size and 2 * size <= room)
        beside = sum((room - size) * count for size, count in large)
        extra = max(0, _ceil(small - beside, room))
        best = max(best, alone + sum(count for _, count in large) + extra)
    return best


def _plain(number: Decimal) -> str:
    return f"{Decimal(number).normalize():f}"


def _ceil(amount: int, by: int) -> int:
    return -(-amount // by)


class _Scale:
    """Sizes and weights as whole numbers, so that "exactly full" is exact: no fractions, no rounding."""

    def __init__(self, pieces: Sequence[Piece], kinds: Sequence[Kind]):
        self.kinds = list(kinds)
        standard = next((kind for kind in kinds if kind.standard), None)
        if standard is None:
            raise CannotPack("No kind of box is marked as the standard one, which “pairs to a box” means.")
        per_box = {piece.per_box for piece in pieces}
        self.whole = lcm(*per_box) if per_box else 1
        self.size = {n: self.whole // n * standard.volume for n in per_box}

    def capacity(self, kind: Kind) -> int:
        return self.whole * kind.volume

    def strength(self, kind: Kind) -> int:
        """What the box may carry, in hundredths of a gram."""
        return max(0, kind.limit_g - kind.tare_g) * 100

    def empty(self, kind: Kind) -> "_Box":
        return _Box(self, kind)

    def roomiest(self, piece: Piece) -> "_Box":
        """An empty box of the kind that takes most pairs of the piece."""
        boxes = [self.empty(kind) for kind in self.kinds]
        return max(boxes, key=lambda box: (box.takes(piece), box.room, box.strength, box.kind.length_mm))

    def refuse_hopeless(self, piece: Piece) -> None:
        longest = max(kind.length_mm for kind in self.kinds)
        if piece.length_mm > longest:
            raise CannotPack(
                f"{piece.candle} is {_plain(piece.length_mm)} mm long; the longest box is {longest} mm inside, "
                "and candles are not put in across the diagonal."
            )
        if not self.roomiest(piece).takes(piece):
            raise CannotPack(
                f"One pair of {piece.candle} ({_plain(piece.grams)} g) is above the weight limit or the space of "
                "every box that is long enough."
            )


class _Box:
    """A box being filled: `room` and `strength` are what is left, in the scale's whole numbers."""

    def __init__(self, scale: _Scale, kind: Kind):
        self.scale, self.kind = scale, kind
        self.room, self.strength = scale.capacity(kind), scale.strength(kind)
        self.pieces: dict[Piece, int] = {}

    def by_weight(self, piece: Piece) -> int:
        return self.strength // piece.centigrams

    def takes(self, piece: Piece) -> int:
        """How many more pairs like these go in."""
        if piece.length_mm > self.kind.length_mm:
            return 0
        return min(self.room // self.scale.size[piece.per_box], self.by_weight(piece))

    def put(self, piece: Piece, pairs: int) -> None:
        self.room -= self.scale.size[piece.per_box] * pairs
        self.strength -= piece.centigrams * pairs
        self.pieces[piece] = self.pieces.get(piece, 0) + pairs

    def contents(self) -> dict[Hashable, int]:
        return {piece.key: pairs for piece, pairs in self.pieces.items()}


def _lines(pieces: Sequence[Piece]) -> list[list[Piece]]:
    lines: dict[Hashable, list[Piece]] = {}
    for piece in pieces:
        lines.setdefault(piece.line, []).append(piece)
    return list(lines.values())


def _orders(scale: _Scale, pieces: Sequence[Piece]) -> list[list[list[Piece]]]:
    """The orders tried. Longest first, because a short candle goes into any box but a long one does not."""
    lines = _lines(pieces)

    def size(line):
        return sum(scale.size[piece.per_box] * piece.pairs for piece in line)

    def weight(line):
        return sum(piece.centigrams * piece.pairs for piece in line)

    def density(line):
        return weight(line) / size(line)

    by_density = sorted(lines, key=density, reverse=True)
    half = (len(lines) + 1) // 2
    # Heavy and light in turn, so that a box is not full by weight and half empty.
    in_turn = [line for two in zip(by_density[:half], [*by_density[half:][::-1], []], strict=False) for line in two]
    orders = [
        sorted(lines, key=lambda line: (line[0].length_mm, size(line)), reverse=True),
        sorted(lines, key=lambda line: (scale.size[line[0].per_box], size(line)), reverse=True),
        sorted(lines, key=size, reverse=True),
        sorted(lines, key=lambda line: (line[0].centigrams, weight(line)), reverse=True),
        by_density,
        [line for line in in_turn if line],
        lines,
    ]
    return orders


def _ways(scale: _Scale, pieces: Sequence[Piece]) -> list[tuple[list[list[Piece]], str]]:
    """Each different way to fill once: orders that came out alike and lines of one lot each say the same again."""
    orders = {tuple(line[0].line for line in order): order for order in _orders(scale, pieces)}
    one_lot_each = len(_lines(pieces)) == len(pieces)
    return [(order, whole) for order in orders.values() for whole in WHOLE if not (one_lot_each and whole == "lot")]


def _fill(scale: _Scale, lines: list[list[Piece]], whole: str) -> list[_Box]:
    """First box that has room for what `whole` wants kept in one piece."""
    boxes: list[_Box] = []
    units = [[piece] for line in lines for piece in line] if whole in ("lot", "") else lines
    for unit in units:
        left = [[piece, piece.pairs] for piece in unit]
        while left:
            piece, wanted = left[0][0], _least_part(left, whole)
            box = next((box for box in boxes if box.takes(piece) >= wanted), None)
            if box is None:
                box = scale.roomiest(piece)
                boxes.append(box)
            _pour(left, box)
    return boxes


def _least_part(left: list[list], whole: str) -> int:
    """The fewest pairs worth putting into a box that is begun: crumbs of a line in many boxes please nobody."""
    total = sum(pairs for _, pairs in left)
    per_box = left[0][0].per_box
    return {"half": min(total, _ceil(per_box, 2)), "quarter": min(total, _ceil(per_box, 4)), "": 1}.get(whole, total)


def _pour(left: list[list], box: _Box) -> None:
    """Put as many of the waiting pairs into the box as it takes, in their order."""
    while left:
        piece, pairs = left[0]
        taken = min(pairs, box.takes(piece))
        if taken:
            box.put(piece, taken)
        if taken < pairs:
            left[0][1] -= taken
            return
        left.pop(0)


def _settle(boxes: list[_Box], scale: _Scale, pieces: Sequence[Piece]) -> list[_Box]:
    """Each box as small as its contents allow, boxes and contents in the order of the lines."""
    place = {piece.key: number for number, piece in enumerate(pieces)}
    settled = []
    for box in boxes:
        contents = sorted(box.pieces.items(), key=lambda item: place[item[0].key])
        smaller = scale.empty(smallest_kind(scale.kinds, contents))
        for piece, pairs in contents:
            smaller.put(piece, pairs)
        settled.append(smaller)
    return sorted(settled, key=lambda box: [place[key] for key in box.contents()])


def _cost(boxes: list[_Box]) -> tuple[int, int, int]:
    """Boxes, then lines in how many places, then lots in how many places."""
    lines = sum(len({piece.line for piece in box.pieces}) for box in boxes)
    lots = sum(len(box.pieces) for box in boxes)
    return len(boxes), lines, lots
