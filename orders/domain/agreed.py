"""Prices agreed with one shop, and what seconds cost. Both are dated; what orders were confirmed at stays."""

from datetime import date
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils import timezone

from inventory.domain.records import record
from inventory.domain.set_up import add_row, change_row, remove_row
from inventory.domain.versions import check_seen
from inventory.models import SECONDS, Candle
from inventory.words import day
from orders.domain.price_lists import EARLIEST, YEARS_AHEAD, check_after_orders
from orders.models import AgreedPrice, Order, OrderLine, SecondsPrice, Shop
from orders.models.order import CONFIRMED, DONE

AGREED_FIELDS = ("price", "since", "until", "takes_discount")
DEAREST_SECONDS = Decimal("9999.99")  # a box or a kilo: with the heaviest pair it still fits the price column


@transaction.atomic
def agree_price(
    *, shop: Shop, candle: Candle, price: Decimal, since: date, until: date | None, takes_discount: bool, by
) -> AgreedPrice:
    """Agree a price a pair with a shop, in the shop's currency. The same again gives the one that stands.

    ValidationError where the shop has already ordered the candle on or after that day.
    """
    shop = Shop.objects.select_for_update().get(pk=shop.pk)
    values = {"price": price, "since": since, "until": until, "takes_discount": takes_discount}
    same = AgreedPrice.objects.filter(shop=shop, candle=candle, currency=shop.currency, **values).first()
    if same:
        return same
    _check_day(since)
    _check_unordered(shop, candle, since)
    row = AgreedPrice(shop=shop, candle=candle, currency=shop.currency, **values)
    _check(row)
    row.save()
    _put_down(row, f"Agreed: {candle.code} at {price} {shop.currency} a pair from {day(since)}{_ends(until)}", by)
    return row


@transaction.atomic
def change_agreed(*, row: AgreedPrice, seen: str, by, **values) -> AgreedPrice:
    """Change an agreement no order was confirmed by; of one that was, only the day it ends, and not into the past."""
    Shop.objects.select_for_update().get(pk=row.shop_id)
    row = AgreedPrice.objects.select_related("shop", "candle").get(pk=row.pk)
    check_seen(row, seen, fields=AGREED_FIELDS)
    if all(getattr(row, name) == value for name, value in values.items()):
        return row
    newest = newest_order_at(row)
    if newest:
        changed = [name for name in values if name != "until" and getattr(row, name) != values[name]]
        if changed:
            raise ValidationError(
                {changed[0]: f"Orders up to {day(newest)} were confirmed at it: let it end, and agree a new one."}
            )
        if values.get("until") and values["until"] < newest:
            raise ValidationError({"until": f"An order of {day(newest)} was confirmed at it: not before that day."})
    elif values["since"] != row.since:
        _check_day(values["since"])
        _check_unordered(row.shop, row.candle, values["since"])
    for name, value in values.items():
        setattr(row, name, value)
    _check(row)
    row.save()
    what = f"Agreed price of {row.candle.code}: {row.price} {row.currency} from {day(row.since)}{_ends(row.until)}"
    _put_down(row, what, by)
    return row


@transaction.atomic
def remove_agreed(*, row: AgreedPrice, by) -> None:
    """Take back an agreement no order was confirmed by; gone already is no error."""
    Shop.objects.select_for_update().get(pk=row.shop_id)
    row = AgreedPrice.objects.select_related("shop", "candle").filter(pk=row.pk).first()
    if row is None:
        return
    if newest := newest_order_at(row):
        raise ValidationError(f"Orders up to {day(newest)} were confirmed at it: let it end instead.")
    _put_down(row, f"Agreed price of {row.candle.code} taken back: {row.price} {row.currency}", by)
    row.delete()


def newest_order_at(row: AgreedPrice) -> date | None:
    """The last day an order of this shop was confirmed with this candle while the agreement stood."""
    lines = _ordered(row.shop, row.candle, row.since).filter(order__currency=row.currency)
    if row.until:
        lines = lines.filter(order__placed_on__lte=row.until)
    return lines.aggregate(newest=Max("order__placed_on"))["newest"]


@transaction.atomic
def add_seconds_price(*, row: SecondsPrice, by) -> SecondsPrice:
    """What seconds cost from a day on; the day lies after the last order of seconds."""
    _check_seconds(row.basis, row.value, row.since, row.currency)
    return add_row(row=row, by=by)


@transaction.atomic
def change_seconds_price(*, row: SecondsPrice, values: dict, seen: str, by) -> SecondsPrice:
    """Mend a price no order of seconds can have been confirmed at."""
    row = SecondsPrice.objects.select_for_update().get(pk=row.pk)
    _refuse_used(row)
    _check_seconds(values["basis"], values["value"], values["since"], values["currency"])
    return change_row(row=row, values=values, seen=seen, by=by)


@transaction.atomic
def remove_seconds_price(*, row: SecondsPrice, by) -> None:
    """Delete a price no order of seconds can have been confirmed at."""
    _refuse_used(row)
    remove_row(row=row, by=by)


def _check_seconds(basis: str, value: Decimal, since: date, currency: str) -> None:
    _check_day(since)
    if basis != "share" and value > DEAREST_SECONDS:
        raise ValidationError({"value": f"At most {DEAREST_SECONDS:,}."})
    check_after_orders(since, Order.objects.filter(currency=currency, grade=SECONDS))


def _refuse_used(row: SecondsPrice) -> None:
    try:
        check_after_orders(row.since, Order.objects.filter(currency=row.currency, grade=SECONDS))
    except ValidationError as error:
        used = error.message_dict["since"][0]
        raise ValidationError(f"The price since {day(row.since)} stays. {used}") from None


def _ordered(shop: Shop, candle: Candle, since: date):
    return OrderLine.objects.filter(
        order__shop=shop, order__status__in=(CONFIRMED, DONE), order__placed_on__gte=since, candle=candle
    )


def _check_unordered(shop: Shop, candle: Candle, since: date) -> None:
    newest = _ordered(shop, candle, since).aggregate(newest=Max("order__placed_on"))["newest"]
    if newest:
        raise ValidationError(
            {"since": f"They ordered {candle.code} on {day(newest)} at the price of that day: from a later day."}
        )


def _check_day(since: date) -> None:
    latest = timezone.localdate().year + YEARS_AHEAD
    if since < EARLIEST or since.year > latest:
        raise ValidationError({"since": f"Between {EARLIEST.year} and {latest}."})


def _check(row: AgreedPrice) -> None:
    """The model's own checks, told at the field they are about."""
    if row.until and row.until < row.since:
        raise ValidationError({"until": "It ends before it begins."})
    row.full_clean(validate_constraints=False)
    others = AgreedPrice.objects.filter(shop=row.shop, candle=row.candle, currency=row.currency, since=row.since)
    if others.exclude(pk=row.pk).exists():
        raise ValidationError({"since": f"{row.candle.code} has an agreed price from that day already."})
    row.validate_constraints()


def _ends(until: date | None) -> str:
    return f" to {day(until)}" if until else ""


def _put_down(row: AgreedPrice, what: str, by) -> None:
    record(subject="shop", subject_id=row.shop_id, what=what, by=by)
