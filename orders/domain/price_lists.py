"""Price lists: begun as a copy, looked over, in force from their day. What orders were confirmed by never changes.

A list no order was confirmed by can be mended freely. Once one was, other prices are a new list from a later day.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from inventory.domain.set_up import tell
from inventory.domain.versions import check_version
from inventory.models import Candle
from inventory.words import counted, day
from orders.models import BoxBreak, ListPrice, Order, OrderLine, PriceList, ShopGroup
from orders.models.order import CONFIRMED, DONE
from orders.prices import PENNY, raise_price

EARLIEST = date(2000, 1, 1)
YEARS_AHEAD = 3
MOST_BREAKS = 60


@dataclass(frozen=True)
class BreakRow:
    """Percent off from so many whole boxes on; `candle` None: of every candle on the list."""

    candle: int | None
    boxes: int
    percent: Decimal


@transaction.atomic
def copy_list(
    *,
    source: PriceList | None,
    name: str,
    currency: str,
    group: ShopGroup | None,
    since: date,
    by,
    percent: Decimal = Decimal(0),
    step: Decimal = PENNY,
) -> PriceList:
    """A new list: the source's prices (None: the trade prices) raised by percent to the nearest step, and its breaks.

    Candles no longer in the catalogue stay behind. ValidationError by field for the day, the name or a price too dear.
    """
    check_since(since, currency, group)
    candles = Candle.objects.filter(active=True)
    if source:
        prices = dict(source.prices.filter(candle__active=True).values_list("candle", "price"))
        breaks = [BreakRow(row.candle_id, row.boxes, row.percent) for row in source.breaks.all()]
    else:
        prices, breaks = dict(candles.values_list("pk", "trade_price")), []
    try:
        raised = {candle: raise_price(price, percent, step) for candle, price in prices.items()}
    except ValueError as error:
        raise ValidationError({"percent": str(error)}) from None
    row = PriceList(name=name, currency=currency, group=group, since=since, note=source.note if source else "")
    _write(row, raised, [one for one in breaks if one.candle is None or one.candle in raised])
    tell(f"Price list {name} begun, in force from {day(since)}: {counted(len(raised), 'price')}", by)
    return row


@transaction.atomic
def save_list(
    *, row: PriceList, version: int, name: str, note: str, since: date, prices: Mapping[int, Decimal],
    breaks: Iterable[BreakRow], by,
) -> PriceList:  # fmt: skip
    """Save what the list's page says: candle id -> price, and the breaks. Returns the list the prices now stand on.

    Where orders were confirmed by the list and prices or breaks differ, that is a new list from `since`, which must
    lie ahead of those orders; name and note alone are mended in place. The same content again changes nothing.
    StaleVersion where somebody was quicker.
    """
    row = PriceList.objects.select_for_update(of=("self",)).get(pk=row.pk)
    check_version(row, version)
    breaks = list(breaks)
    _check_breaks(breaks)
    same_prices = dict(row.prices.values_list("candle", "price")) == dict(prices) and _breaks_of(row) == set(breaks)
    newest = newest_order_by(row)
    if newest and not same_prices:
        new = PriceList(name=name, note=note, since=since, currency=row.currency, group=row.group)
        return _succeed(row, new, newest=newest, prices=prices, breaks=breaks, by=by)
    # The day a used list began is history.
    since = row.since if newest else since
    if same_prices and (row.name, row.note, row.since) == (name, note, since):
        return row
    if since != row.since:
        check_since(since, row.currency, row.group)
    row.name, row.note, row.since = name, note, since
    row.version += 1
    if same_prices:
        _check(row)
        row.save()
    else:
        _write(row, prices, breaks)
    tell(f"Price list {row} changed: {counted(len(prices), 'price')}, in force from {day(row.since)}", by)
    return row


@transaction.atomic
def remove_list(*, row: PriceList, by) -> None:
    """Delete a list no order was confirmed by; gone already is no error."""
    row = PriceList.objects.select_for_update(of=("self",)).filter(pk=row.pk).first()
    if row is None:
        return
    if newest := newest_order_by(row):
        raise ValidationError(
            f"Orders up to {day(newest)} were confirmed by {row}, so it stays. A later list takes its place."
        )
    # Drafts are priced afresh whenever they are kept.
    OrderLine.objects.filter(price_list=row).update(price_list=None, list_price=None)
    name, since = row.name, row.since
    row.delete()
    tell(f"Price list {name} from {day(since)} deleted", by)


def newest_order_by(row: PriceList) -> date | None:
    """The last day an order was confirmed by this list, None where none was."""
    taken = OrderLine.objects.filter(price_list=row, order__status__in=(CONFIRMED, DONE))
    return taken.aggregate(newest=Max("order__placed_on"))["newest"]


def check_since(since: date, currency: str, group: ShopGroup | None) -> None:
    """Prices begin after the last order they could have priced: what was confirmed before keeps its reasons true."""
    latest = timezone.localdate().year + YEARS_AHEAD
    if since < EARLIEST or since.year > latest:
        raise ValidationError({"since": f"Between {EARLIEST.year} and {latest}."})
    check_after_orders(since, Order.objects.filter(currency=currency, **({"shop__group": group} if group else {})))


def check_after_orders(since: date, orders) -> None:
    """Refuse a day on or before the newest confirmed one of these orders."""
    newest = orders.filter(status__in=(CONFIRMED, DONE)).aggregate(newest=Max("placed_on"))["newest"]
    if newest and since <= newest:
        raise ValidationError(
            {"since": f"Orders up to {day(newest)} were confirmed at the prices as they stood: a day after that."}
        )


def _succeed(row: PriceList, new: PriceList, *, newest: date, prices, breaks, by) -> PriceList:
    last = max(newest, row.since)
    if new.since <= last:
        used = f"Orders up to {day(newest)} were confirmed by this list."
        raise ValidationError({"since": f"{used} Changed prices begin after {day(last)}."})
    check_since(new.since, row.currency, row.group)
    _write(new, prices, breaks)
    tell(f"Price list {row} is followed by {new} from {day(new.since)}: {counted(len(prices), 'price')}", by)
    return new


def _write(row: PriceList, prices: Mapping[int, Decimal], breaks: Iterable[BreakRow]) -> None:
    """The list with exactly these prices and breaks."""
    if not prices:
        raise ValidationError("A list needs at least one price.")
    _check(row)
    row.save()
    row.prices.all().delete()
    row.breaks.all().delete()
    made = [ListPrice(list=row, candle_id=candle, price=price) for candle, price in prices.items()]
    ListPrice.objects.bulk_create(made)
    BoxBreak.objects.bulk_create(
        BoxBreak(list=row, candle_id=one.candle, boxes=one.boxes, percent=one.percent) for one in breaks
    )


def _check(row: PriceList) -> None:
    """The model's own checks; a second list of one day is told at the day."""
    row.full_clean(validate_constraints=False)
    other = (
        PriceList.objects.filter(currency=row.currency, group=row.group, since=row.since).exclude(pk=row.pk).first()
    )
    if other:
        raise ValidationError({"since": f"{other} begins on that day already."})
    row.validate_constraints()


def _check_breaks(breaks: list[BreakRow]) -> None:
    if len(breaks) > MOST_BREAKS:
        raise ValidationError({"breaks": f"At most {MOST_BREAKS} box breaks on a list."})
    if len({(one.candle, one.boxes) for one in breaks}) < len(breaks):
        raise ValidationError({"breaks": "Two breaks begin at the same number of boxes."})


def _breaks_of(row: PriceList) -> set[BreakRow]:
    return {BreakRow(one.candle_id, one.boxes, one.percent) for one in row.breaks.all()}
