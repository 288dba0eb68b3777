"""Box kinds, VAT rates and the next numbers: lists of the set-up with rules of their own."""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max
from django.utils.dateformat import format as format_date

from inventory.domain.set_up import add_row, change_row, remove_row, tell
from inventory.domain.versions import check_seen
from orders.models import BoxKind, Invoice, Order, Paper, SecondsBox, Series, VatRate
from orders.models.paper import (
    CREDIT_NOTE,
    DELIVERY_NOTE,
    INVOICE,
    LATE_CHARGE,
    PRO_FORMA,
    REMINDER,
    SECONDS_LIST,
    STATEMENT,
)

SECONDS_BOX = "seconds box"
MOST_NUMBER = 9_999_999  # leaves room for a lifetime below what the column holds
# Numbers of these run without a gap once the first was given (DESIGN 3.6; the audit looks).
WITHOUT_GAP = (DELIVERY_NOTE, INVOICE, CREDIT_NOTE, PRO_FORMA, STATEMENT, REMINDER, LATE_CHARGE, SECONDS_LIST)


@transaction.atomic
def add_box_kind(*, row: BoxKind, by) -> BoxKind:
    """A new kind of box. The first one in use is the standard box; a new standard box takes that from the old."""
    lowered = _lower_standard(row.pk) if row.standard else None
    if row.active and not row.standard and not BoxKind.objects.filter(standard=True).exists():
        row.standard = True
    row = add_row(row=row, by=by)
    _tell_lowered(lowered, row, by)
    return row


@transaction.atomic
def change_box_kind(*, row: BoxKind, values: dict, seen: str, by) -> BoxKind:
    """Change a kind of box. There is always one standard box: it passes on, it is never just taken away."""
    row = BoxKind.objects.select_for_update().get(pk=row.pk)
    # Before anything is touched: a stale form must not move the standard on its way to being refused.
    check_seen(row, seen, fields=values)
    if row.standard and not (values["standard"] and values["active"]):
        raise ValidationError({"standard": "Make another box the standard one first."})
    lowered = _lower_standard(row.pk) if values["standard"] else None
    row = change_row(row=row, values=values, seen=seen, by=by)
    _tell_lowered(lowered, row, by)
    return row


@transaction.atomic
def remove_box_kind(*, row: BoxKind, by) -> None:
    """Delete a kind of box no delivery was packed in. The standard box goes last of all."""
    if row.standard and BoxKind.objects.exclude(pk=row.pk).exists():
        raise ValidationError(f"Box {row} can't be deleted: make another box the standard one first.")
    remove_row(row=row, by=by)


@transaction.atomic
def add_vat_rate(*, row: VatRate, by) -> VatRate:
    """A rate from a day on. It can't reach back behind invoices that were made with the rates as they stood."""
    newest = _newest_tax_point()
    if newest and row.since <= newest:
        raise ValidationError(
            {"since": f"Invoices up to {_day(newest)} are made with the rates as they stood: a day after that."}
        )
    return add_row(row=row, by=by)


@transaction.atomic
def change_vat_rate(*, row: VatRate, values: dict, seen: str, by) -> VatRate:
    """Mend a rate no invoice can have used yet."""
    row = VatRate.objects.select_for_update().get(pk=row.pk)
    _refuse_used(row)
    newest = _newest_tax_point()
    if newest and values["since"] <= newest:
        raise ValidationError({"since": f"Later than {_day(newest)}, the newest invoice's tax point."})
    return change_row(row=row, values=values, seen=seen, by=by)


@transaction.atomic
def remove_vat_rate(*, row: VatRate, by) -> None:
    """Delete a rate no invoice can have used yet; each VAT class keeps at least one."""
    same_class = list(VatRate.objects.select_for_update().filter(vat_class=row.vat_class).order_by("pk"))
    if row not in same_class:
        return
    _refuse_used(row)
    if len(same_class) == 1:
        raise ValidationError(f"Candles of the class {row.vat_class} need a rate: add another one first.")
    remove_row(row=row, by=by)


@transaction.atomic
def raise_next_number(*, series: Series, number: int, seen: str, by) -> Series:
    """Let a series go on from `number`. Never downwards, and never over a gap where the law wants none."""
    series = Series.objects.select_for_update().get(pk=series.pk)
    check_seen(series, seen, fields=("next",))
    if number == series.next:
        return series
    if number < series.next:
        raise ValidationError({"number": f"At least {series.next}: a number below it may have been given already."})
    if number > MOST_NUMBER:
        raise ValidationError({"number": f"At most {MOST_NUMBER}."})
    last = last_given(series)
    if series.name in WITHOUT_GAP and last:
        raise ValidationError(
            {"number": f"{series.prefix}{last} was given already, and these numbers run without a gap."}
        )
    before, series.next = series.next, number
    series.save(update_fields=["next"])
    tell(f"Next {series.name} number raised from {series.prefix}{before} to {series.prefix}{number}", by)
    return series


def last_given(series: Series) -> int | None:
    """The highest number of the series that was given, None where none was."""
    if series.name == "order":
        return Order.objects.aggregate(last=Max("number"))["last"]
    if series.name == SECONDS_BOX:
        newest = SecondsBox.objects.order_by("pk").last()
        return int(newest.code.removeprefix(series.prefix)) if newest else None
    return Paper.objects.filter(kind=series.name).aggregate(last=Max("running"))["last"]


def _lower_standard(pk: int | None) -> BoxKind | None:
    """Take the mark from the box that has it, locked; returns that box."""
    old = BoxKind.objects.select_for_update().filter(standard=True).exclude(pk=pk).first()
    if old:
        old.standard = False
        old.save(update_fields=["standard"])
    return old


def _tell_lowered(old: BoxKind | None, new: BoxKind, by) -> None:
    if old:
        tell(f"{new} is the standard box now, before {old}", by)


def _day(day) -> str:
    return format_date(day, "j M Y")


def _newest_tax_point():
    return Invoice.objects.aggregate(newest=Max("tax_point"))["newest"]


def _refuse_used(row: VatRate) -> None:
    newest = _newest_tax_point()
    if newest and row.since <= newest:
        raise ValidationError(
            f"The rate since {_day(row.since)} stays: invoices up to {_day(newest)} were made while it was in "
            "force. Add a new rate from a later day."
        )
