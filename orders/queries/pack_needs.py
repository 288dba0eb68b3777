"""What packing will need of boxes and labels: one of each for every box that the open orders will fill."""

from collections import Counter, defaultdict
from datetime import date
from decimal import Decimal
from functools import lru_cache

from django.db.models import F, OuterRef, Subquery, Sum
from django.db.models.functions import Coalesce

from inventory.models import Candle
from orders.boxes import CannotPack, Kind, Piece
from orders.domain.boxing import kinds_in_use
from orders.models import Box, BoxKind, OrderLine, SetAside
from orders.models.delivery import PACKING
from orders.models.order import CONFIRMED
from orders.packing import pack_pairs
from production.needs import PACKING as FOR_PACKING
from production.needs import Need


def packing_needs() -> dict[int, list[Need]]:
    """By material: boxes and labels that closing the boxes on the bench, and packing all that is open, will draw.

    Each order is packed whole, as the bench would propose it, for its ship-by date; of an order that fits no box
    nobody knows the boxes, and it is left out. Nothing is reckoned where no kind of box names what it draws.
    """
    drawn = {row.pk: [pk for pk in (row.material_id, row.label_id) if pk] for row in BoxKind.objects.all()}
    if not any(drawn.values()):
        return {}
    asked = Counter(Box.objects.filter(delivery__state=PACKING).order_by().values_list("kind", "delivery__van_day"))
    kinds = tuple(kinds_in_use())
    for day, contents in _open_orders():
        asked.update((kind, day) for kind in _boxes(contents, kinds))
    found = defaultdict(list)
    for (kind, day), boxes in sorted(asked.items(), key=lambda row: (row[0][1], row[0][0])):
        for material in drawn[kind]:
            found[material].append(Need(day, boxes, FOR_PACKING))
    return dict(found)


Pairs = tuple[Decimal, Decimal, int, int]  # length (mm), grams a pair, pairs to a box, pairs


def _open_orders() -> list[tuple[date, tuple[Pairs, ...]]]:
    """(ship-by date, pairs neither sent nor in a box) of every confirmed order that has some. Two queries."""
    packed = SetAside.objects.filter(line=OuterRef("pk")).order_by().values("line").annotate(n=Sum("packed"))
    left = F("pairs") - F("sent") - Coalesce(Subquery(packed.values("n")), 0)
    lines = OrderLine.objects.filter(order__status=CONFIRMED).annotate(left=left).filter(left__gt=0)
    lines = lines.order_by("order__ship_by", "order", "position", "pk")
    rows = list(lines.values_list("order", "order__ship_by", "candle", "left"))
    candles = Candle.objects.select_related("wax").in_bulk({candle for _, _, candle, _ in rows})
    facts = {pk: (row.length_mm, row.grams_a_pair, row.pairs_per_box) for pk, row in candles.items()}
    found = defaultdict(list)
    for order, ship_by, candle, pairs in rows:
        found[order, ship_by].append((*facts[candle], pairs))
    return [(day, tuple(contents)) for (_, day), contents in found.items()]


# Packing is worth remembering: the same pairs into the same boxes is the same answer, and Today asks at every look.
@lru_cache(maxsize=2048)
def _boxes(contents: tuple[Pairs, ...], kinds: tuple[Kind, ...]) -> tuple[int, ...]:
    """The kind of each box."""
    pieces = [Piece(n, n, "", *facts) for n, facts in enumerate(contents)]
    try:
        return tuple(filled.kind.key for filled in pack_pairs(pieces, kinds).boxes)
    except CannotPack:
        return ()
