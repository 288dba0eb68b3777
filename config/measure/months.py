"""Nine real months loaded as orders, set aside, packed, sent, invoiced and paid; what that takes as the book grows."""

from collections.abc import Iterator
from pathlib import Path

from django.conf import settings

from config.measure.book import made_book
from config.measure.months_data import Months, find_file, read
from config.measure.months_days import Days, Told, by_month, by_stage, each_by_month
from config.measure.months_house import make_house
from config.measure.row import Row, tell, timed
from inventory.audit import breaches as of_stock
from orders.audit import breaches as of_orders
from production.audit import breaches as of_floor

MOST_S = 25 * 60
MOST_AUDIT_S = 60
# What an order of one month has more of than one of another: stage, and what it makes.
WORK = (
    ("van leaves", "deliveries"),
    ("invoices", "invoices"),
    ("payments", "payments"),
    ("cancellations", "cancelled"),
)
QUICK = {"days": 2, "every": 40}


def rows(*, quick: bool) -> Iterator[Row]:
    """All figures in processor seconds of one core, where no other unit is said."""
    found = find_file(settings.BASE_DIR)
    if found is None:
        yield Row("nine real months", None, "", note="../shared/data is not beside this clone: nothing to load")
        return
    months = read(found, **(QUICK if quick else {}))
    with made_book() as book:
        yield from measured(months, book.path)


def measured(months: Months, path: Path) -> Iterator[Row]:
    """Load them into the empty book that is open, and tell what it took. `path`: where its file lies."""
    house, took = timed(make_house, months)
    days = Days(months, house)
    for day in days.run():
        if day.weekday() == 0:
            tell(f"months: {day}, {days.told.orders.total():,} orders, {sum(days.told.seconds.values()):,.0f} s")
    yield from _sizes(months, days.told, path)
    yield Row("house, shops, candles and prices", took, "s")
    yield from times_of(days.told)
    yield from _audit()


def _sizes(months: Months, told: Told, path: Path) -> Iterator[Row]:
    left_out = ", ".join(f"{count:,} {why}" for why, count in sorted(months.left_out.items()))
    yield Row("orders taken", told.orders.total(), "", note=f"rows left out: {left_out or 'none'}")
    yield Row("lines taken", told.lines.total(), "")
    for name, count in sorted(told.done.items()):
        yield Row(name, count, "")
    lines, pairs, seconds = told.largest
    yield Row("longest order", lines, "lines", note=f"{pairs:,} pairs; taken and set aside in {seconds:.2f} s")
    yield Row("refused", len(told.refused), "", aim=0, note="; ".join(told.refused[:3]))
    size = sum(part.stat().st_size for part in (path, Path(f"{path}-wal")) if part.exists())
    yield Row("size of the book", size / 2**20, "MB")


def times_of(told: Told) -> Iterator[Row]:
    orders = told.orders.total() or 1
    for stage, seconds in by_stage(told.seconds).items():
        yield Row(stage, seconds, "s", note=f"{1000 * seconds / orders:.1f} ms an order")
        yield from _first_and_last(told, stage)
    yield Row("all days", sum(told.seconds.values()), "s", aim=MOST_S, note=f"{told.wall:,.0f} s by the clock")
    months = [month for month in by_month(told.seconds) if told.orders[month]]
    each = {month: 1000 * seconds for month, seconds in by_month(told.seconds).items()}
    for month in months:
        yield Row(f"{month}: an order", each[month] / told.orders[month], "ms", note=_work_of(told, month))
    if len(months) > 1:
        first, last = (each[month] / told.lines[month] for month in (months[0], months[-1]))
        yield Row(f"a line in {months[-1]}", last, "ms", first, f"ms in {months[0]}")


def _first_and_last(told: Told, stage: str) -> Iterator[Row]:
    """Whether a stage's work takes longer as the book grows: an order of a busy month may only bring more of it."""
    each = each_by_month(told, stage)
    if len(each) > 1:
        first, last = min(each), max(each)
        said = f"{told.times[first, stage]:,} times, then {told.times[last, stage]:,}"
        yield Row(f"{stage}: each in {last}", each[last], "ms", each[first], f"ms in {first}", note=said)


def _work_of(told: Told, month: str) -> str:
    orders = told.orders[month]
    parts = [f"{told.times[month, stage] / orders:.2f} {what}" for stage, what in WORK]
    return f"{orders:,} orders; of each {', '.join(parts)}"


def _audit() -> Iterator[Row]:
    found, seconds = timed(lambda: [*of_stock(), *of_floor(), *of_orders()])
    yield Row("audit", seconds, "s", aim=MOST_AUDIT_S)
    yield Row("breaches", len(found), "", aim=0, note="; ".join(found[:3]))
