"""Orders from a sheet: a row is a line; lines of one shop, reference and ship-by date are one order."""

import uuid
from collections.abc import Sequence

from django.core.exceptions import ValidationError
from django.utils import timezone

from inventory.domain.sheet_columns import column_of
from inventory.domain.sheets import Kind, Taking
from inventory.models import FIRSTS
from inventory.sheets.columns import Column, FilledRow
from inventory.sheets.outcome import LEFT_OUT, NEW
from inventory.sheets.values import day_of, one_of, yes_or_no
from inventory.words import day, in_pairs
from orders.domain.order_checks import check_reference, furthest_day
from orders.domain.ordering import Row, confirm_order, save_draft, start_draft
from orders.domain.sheets.cells import candle_columns, candle_in, pairs_in
from orders.models import Order, Shop
from orders.models.order import CANCELLED

NAMESPACE = uuid.UUID("6e7cf1b4-0f43-4b8e-9a7a-3f5d52a1c9d0")
HEAD = ("shop", "reference", "ship_by", "grade")


def columns() -> list[Column]:
    shops = {text: shop for shop in Shop.objects.filter(active=True) for text in (shop.name, str(shop))}
    today = timezone.localdate()
    example = next(iter(shops), "Example shop")
    return [
        Column(
            "shop", "Shop", one_of(shops, "shop"), ("Customer", "Account"), True, "its name, as in the book", example
        ),
        *candle_columns(),
        column_of(Order, "reference", also=("Reference", "PO", "Order number", "Order no")),
        Column(
            "ship_by", "Ship by", day_of(least=today, most=furthest_day(today)), ("Due", "Deliver by", "Date"), True,
            "a day, as 9/12/2026; not past", f"{today:%d/%m/%Y}",
        ),
        column_of(Order, "notes", also=("Note", "Comments")),
        column_of(Order, "grade", example="firsts"),
        Column(
            "confirm", "Confirm", yes_or_no, ("Confirmed",), False,
            "yes: taken at once; empty or no: a draft to look at", "no",
        ),
    ]  # fmt: skip


def take(rows: Sequence[FilledRow], taking: Taking) -> None:
    """Lines are checked one by one, then each order is made whole; an order with a faulty line is not tried."""
    orders: dict[tuple, list[tuple[FilledRow, Row]]] = {}
    broken: set[tuple] = set()
    for row in rows:
        before = len(taking.faults)
        with taking.row(row):
            if line := _line(row, taking):
                orders.setdefault(_head(row), []).append((row, line))
        if len(taking.faults) > before:
            broken.add(_head(row))
    for head, lines in orders.items():
        if head not in broken:
            with taking.row(lines[0][0]):
                _take_order(lines, taking)


def _head(row: FilledRow) -> tuple:
    return tuple(row.values.get(name) for name in HEAD)


def _line(row: FilledRow, taking: Taking) -> Row | None:
    taking.need(row, "shop", "ship_by")
    candle = candle_in(row.values)
    if not candle.active:
        raise ValidationError({"candle": f"{candle.code} is no longer in the catalogue."})
    pairs = pairs_in(row.values, candle)
    if not pairs:
        taking.became(row, LEFT_OUT, candle.code, "No pairs stand beside it.")
        return None
    return Row(candle, pairs)


def _take_order(lines: Sequence[tuple[FilledRow, Row]], taking: Taking) -> None:
    first = lines[0][0]
    shop, reference, ship_by, grade = _head(first)
    reference = reference or ""
    _check_new(shop, reference)
    order = start_draft(
        shop=shop, by=taking.by, grade=grade or FIRSTS,
        submission=uuid.uuid5(NAMESPACE, f"{taking.read.sha256} {first.number} {timezone.now().isoformat()}"),
    )  # fmt: skip
    notes = "; ".join(dict.fromkeys(row.values["notes"] for row, _ in lines if "notes" in row.values))
    header = {"reference": reference, "ship_by": ship_by, "notes": notes[:500]}
    order = save_draft(
        order=order, version=order.version, header=header, rows=[line for _, line in lines], by=taking.by
    )
    state = "a draft"
    if any(row.values.get("confirm") for row, _ in lines):
        order = confirm_order(order=order, version=order.version, by=taking.by)
        state = "confirmed"
    for row, line in lines:
        said = f"{in_pairs(line.pairs)} of {line.candle.code}, order {order.number} by {day(ship_by)}, {state}"
        taking.became(row, NEW, shop.name, said)


def _check_new(shop: Shop, reference: str) -> None:
    """ValidationError where the shop's reference is missing though it needs one, or is in the book already."""
    check_reference(reference, shop)
    same = reference and shop.orders.filter(reference=reference).exclude(status=CANCELLED).first()
    if same:
        raise ValidationError({"reference": f"order {same.number} of {shop.name} has this reference already."})


ORDERS = Kind(
    key="orders",
    title="Orders",
    place="order_book",
    one="order line",
    many="order lines",
    says=(
        "A row is a line of an order. Rows of one shop, reference, ship-by date and grade are one order.",
        "Orders come in as drafts to look at and confirm, unless the column Confirm says yes.",
        "The same file is loaded once, and a reference a shop has used already is refused.",
    ),
    columns=columns,
    take=take,
    once=True,
)
