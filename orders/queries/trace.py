"""Where lots went and where they lie. A fixed number of queries, whatever was sent."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping

from django.db.models import Count, F, Max, Min, Q, Sum
from django.db.models.functions import Coalesce

from inventory.models import Lot
from inventory.queries.among import among
from orders.models import BoxContent, DeliveryLine, ReturnLine, SecondsBoxContent, SetAside
from orders.models import Contact as ShopContact
from orders.models.delivery import LEFT
from orders.models.seconds_box import ON_SHELF
from orders.recall import Brief, Contact, Gone, Kept

PAIRS_BACK = F("firsts") + F("seconds") + F("broken")
COLUMNS = (
    "delivery_line", "pairs", "box__number", "box__slip__number", "box__delivery", "box__delivery__note__number",
    "box__delivery__left_on", "box__delivery__order__number", "box__delivery__order__reference",
    "box__delivery__order__shop", "box__delivery__order__shop__name", "box__delivery__order__shop__town",
    "delivery_line__lot", "delivery_line__lot__code", "delivery_line__lot__grade", "delivery_line__lot__candle__code",
)  # fmt: skip


def gone_of_lots(lots: Collection[int], why: Mapping[int, str] | None = None) -> list[Gone]:
    """Everything of these lots that left, by delivery and lot. `why`: by lot, its way. Two queries."""
    return list(_gone(Q(delivery_line__lot__in=among(lots)), why or {}))


def briefs_of_lots(lots: Collection[int]) -> list[Brief]:
    """The same by shop, in sums, whoever has most first; without contacts. Two queries, however much it is."""
    lines = DeliveryLine.objects.filter(lot__in=among(lots), delivery__state=LEFT).order_by()
    back = ReturnLine.objects.filter(delivery_line__lot__in=among(lots)).order_by()
    came_back = dict(back.values_list("delivery_line__delivery__order__shop").annotate(pairs=Sum(PAIRS_BACK)))
    rows = lines.values_list(*(f"delivery__order__{name}" for name in ("shop", "shop__name", "shop__town"))).annotate(
        pairs=Sum("pairs"), deliveries=Count("delivery", distinct=True), first=Min("delivery__left_on"),
        last=Max("delivery__left_on"),
    )  # fmt: skip
    found = [
        Brief(shop, f"{name}, {town}", (), pairs - came_back.get(shop, 0), *rest)
        for shop, name, town, pairs, *rest in rows
    ]
    return sorted(found, key=lambda brief: (-brief.pairs, brief.shop))


def gone_in_boxes(condition: Q) -> list[Gone]:
    """Everything that left in boxes of that condition (on BoxContent). Two queries."""
    return list(_gone(condition, {}))


def _gone(condition: Q, why: Mapping[int, str]) -> Iterator[Gone]:
    lying = BoxContent.objects.filter(condition, box__delivery__state=LEFT).order_by()
    back = ReturnLine.objects.filter(delivery_line__in=lying.values("delivery_line")).order_by()
    came_back = dict(back.values_list("delivery_line").annotate(pairs=Sum(PAIRS_BACK)))
    rows: dict[int, Gone] = {}
    for line, pairs, *facts in lying.order_by("box__number").values_list(*COLUMNS):
        if line not in rows:
            rows[line] = _row(facts, came_back.get(line, 0), why)
        rows[line].pairs += pairs
        rows[line].boxes.append(facts[1] or str(facts[0]))
    for row in rows.values():
        # Of a line in several boxes nobody knows of which box they came back.
        row.back = min(row.back, row.pairs)
        yield row


def _row(facts: list, back: int, why: Mapping[int, str]) -> Gone:
    _, _, delivery, note, left_on, order, reference, shop, name, town, lot, code, grade, candle = facts
    return Gone(
        shop, f"{name}, {town}", delivery, note or "", order, reference, left_on, candle, lot, code, grade,
        pairs=0, back=back, why=why.get(lot, ""),
    )  # fmt: skip


def contacts_of(shops: Iterable[int]) -> dict[int, list[Contact]]:
    """Who can be rung up or written to at each of these shops. One query."""
    found: dict[int, list[Contact]] = defaultdict(list)
    rows = ShopContact.objects.filter(shop__in=set(shops)).exclude(telephone="", email="")
    for shop, *facts in rows.order_by("name").values_list("shop", "name", "does", "telephone", "email"):
        found[shop].append(Contact(*facts))
    return found


def kept_of(lots: Collection[int]) -> list[Kept]:
    """What of these lots lies here, and for whom it is meant. Three queries."""
    rows = list(
        Lot.objects.filter(pk__in=among(lots), on_hand__gt=0).select_related("candle", "shelf").order_by("code")
    )
    promised = _promised([lot.pk for lot in rows])
    return [
        Kept(lot.pk, lot.code, str(lot.candle), str(lot.shelf or "no shelf"), lot.on_hand, "; ".join(promised[lot.pk]))
        for lot in rows
    ]


def pairs_here(lots: Collection[int]) -> int:
    """Pairs of these lots in the stockroom, together. One query."""
    return Lot.objects.filter(pk__in=among(lots)).aggregate(pairs=Coalesce(Sum("on_hand"), 0))["pairs"]


def _promised(lots: list[int]) -> dict[int, list[str]]:
    found: dict[int, list[str]] = defaultdict(list)
    rows = (
        SetAside.objects.filter(lot__in=among(lots))
        .select_related("line__order__shop")
        .order_by("line__order__ship_by")
    )
    for row in rows:
        order = row.line.order
        packed = f", {row.packed} of them in boxes: take them out" if row.packed else ""
        found[row.lot_id].append(f"{row.pairs} for order {order.number}, {order.shop}{packed}")
    boxed = (
        SecondsBoxContent.objects.filter(lot__in=among(lots), box__state=ON_SHELF).select_related("box").order_by("pk")
    )
    for row in boxed:
        found[row.lot_id].append(f"{row.pairs} in the box {row.box.code} on the seconds shelf")
    return found
