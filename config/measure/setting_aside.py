"""Setting aside the whole book: how long, how that grows, and that no more could have been filled.

No order here is all or nothing, so that every pair the rule hands out counts and the maximum flow is what can be had.
"""

from collections.abc import Iterator
from math import log

from django.db.models import F, Sum
from ortools.graph.python.max_flow import SimpleMaxFlow

from config.measure.book import made_book
from config.measure.busy_book import make_busy, take_orders
from config.measure.plan_growth import slope
from config.measure.row import Row, middle, tell, timed
from inventory.models import Lot
from orders.domain.setting_aside import Result, set_aside_book
from orders.models import OrderLine
from production.models import Want

SIZES, WHOLE = (750, 1500, 3000, 6000), 3000  # lines; half as many lots
MOST_S, MOST_GROWTH = 3, 1.1


def rows(*, quick: bool = False) -> Iterator[Row]:
    sizes, whole, times = ((40, 80), 80, 1) if quick else (SIZES, WHOLE, 3)
    points = []
    for lines in sizes:
        tell(f"setting aside {lines} lines")
        runs = [_run(lines) for _ in range(times)]
        seconds = middle([took for *_, took in runs])
        points.append((log(lines), log(seconds)))
        result, most, _ = runs[0]
        if lines == whole:
            said = f"{result.pairs:,} pairs set aside, {result.short:,} stay open; median of {times}, SQLite"
            name = f"set aside the whole book: {lines:,} lines, {lines // 2:,} lots"
            yield Row(name, seconds, "s", aim=MOST_S, note=said)
        yield Row(f"{lines:,} lines: pairs the rule leaves of the maximum flow", most - result.pairs, "pairs", aim=0)
    said = ", ".join(f"{lines:,} lines" for lines in sizes)
    yield Row("growth of that time in lines: exponent", slope(points), "", aim=MOST_GROWTH, note=said)


def _run(lines: int) -> tuple[Result, int, float]:
    """What it did, the most that could be filled, and the processor seconds it took, in a book of its own."""
    with made_book():
        book = make_busy()
        take_orders(book, lines, lots=lines // 2)
        most = most_pairs()
        result, took = timed(set_aside_book, by=book.by)
        _check(lines)
    return result, most, took


def most_pairs() -> int:
    """Pairs that could be filled at best: the maximum flow from lots to lines of the same candle and grade."""
    flow, source, sink = SimpleMaxFlow(), 0, 1
    lots = list(Lot.objects.values_list("pk", "candle", "grade", F("on_hand") - F("set_aside")))
    needs = OrderLine.objects.filter(order__status="confirmed").order_by()
    lines = list(needs.values_list("pk", "candle", "order__grade", F("pairs") - F("sent") - F("set_aside")))
    node_of = {("lot", row[0]): 2 + n for n, row in enumerate(lots)}
    node_of |= {("line", row[0]): 2 + len(lots) + n for n, row in enumerate(lines)}
    kinds = {}
    for pk, candle, grade, free in lots:
        flow.add_arc_with_capacity(source, node_of["lot", pk], free)
        kinds.setdefault((candle, grade), []).append((pk, free))
    for pk, candle, grade, still_open in lines:
        flow.add_arc_with_capacity(node_of["line", pk], sink, still_open)
        for lot, free in kinds.get((candle, grade), ()):
            flow.add_arc_with_capacity(node_of["lot", lot], node_of["line", pk], free)
    if flow.solve(source, sink) != flow.OPTIMAL:
        raise ArithmeticError("the maximum flow was not found")
    return flow.optimal_flow()


def _check(lines: int) -> None:
    """What was written adds up; ArithmeticError where it does not."""
    sums = OrderLine.objects.aggregate(held=Sum("set_aside"), still_open=Sum(F("pairs") - F("set_aside")))
    held, wanted = Lot.objects.aggregate(all=Sum("set_aside"))["all"], Want.objects.aggregate(all=Sum("pairs"))["all"]
    if (sums["held"], sums["still_open"]) != (held, wanted):
        raise ArithmeticError(f"{lines} lines: {sums} on the lines, {held} in the lots, {wanted} wanted")
