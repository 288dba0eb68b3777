"""Order forms on their way out: made for a shop, sent by letter. Coming back: orders/domain/forms_back.py."""

import uuid
from datetime import date
from hashlib import sha256

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.text import slugify

from inventory.domain.records import record
from inventory.models import Workshop
from inventory.words import counted, day
from orders.documents.order_form import order_form_of
from orders.domain.kept_files import keep_file
from orders.domain.numbers import take_number
from orders.domain.order_checks import check_shop, furthest_day
from orders.domain.post import checked_addresses, write_letter
from orders.models import KeptFile, Letter, OrderForm, Series, Shop
from orders.models.kept_file import XLSX

LONGEST_NOTE = 300
ORDER_FORM = "order form"  # the kind of its letters, and the name of its series


@transaction.atomic
def make_order_form(*, shop: Shop, first_day: date, last_day: date, note: str, submission: uuid.UUID, by) -> OrderForm:
    """A form for one shop as its prices stand today, kept as the file that goes out. The same submission: one form.

    ValidationError by field for days past, too far or out of order, and for a shop for which nothing has a price.
    """
    check_shop(shop)
    _check_days(first_day, last_day)
    note = " ".join(note.split())
    if len(note) > LONGEST_NOTE:
        raise ValidationError({"note": f"At most {LONGEST_NOTE} signs."})
    # Whoever makes a form waits here, so the second copy of a submission finds the first one's form.
    Series.objects.select_for_update().get(name=ORDER_FORM)
    if made := OrderForm.objects.filter(submission=submission).first():
        return made
    number, named = take_number(ORDER_FORM)
    today = timezone.localdate()
    form = order_form_of(number=named, shop=shop, first=first_day, last=last_day, note=note, today=today)
    if not form.rows:
        raise ValidationError(f"Nothing in the catalogue has a price in {shop.currency}: put candles on a list first.")
    if not form.days:
        raise ValidationError({"last_day": "The van goes on none of these days."})
    made = OrderForm.objects.create(
        number=number,
        shop=shop,
        currency=shop.currency,
        first_day=first_day,
        last_day=last_day,
        note=note,
        rows=[{"code": row.code, "price": str(row.price), "last": row.last} for row in form.rows],
        file=_workbook(form, f"order form {number} {shop.name}"),
        made_on=today,
        made_at=timezone.now(),
        made_by=by,
        submission=submission,
    )
    what = f"Order form {made} made: {counted(len(form.rows), 'candle')}."
    record(subject="shop", subject_id=shop.pk, what=what, by=by)
    return made


def _workbook(form, name: str) -> KeptFile:
    # openpyxl is loaded with the first workbook, not with every start.
    from orders.order_form.writing import write_form  # noqa: PLC0415

    return keep_file(name=f"{slugify(name)}.xlsx", media_type=XLSX, content=write_form(form))


def _check_days(first: date, last: date) -> None:
    today = timezone.localdate()
    if first < today:
        raise ValidationError({"first_day": f"{day(first)} is past."})
    if last < first:
        raise ValidationError({"last_day": f"Not before {day(first)}, where the days begin."})
    if last > furthest_day(today):
        raise ValidationError({"last_day": f"Too far ahead: at the latest {day(furthest_day(today))}."})


@transaction.atomic
def send_order_form(*, form: OrderForm, to: str, message: str, by) -> Letter:
    """Write the letter that takes the form to the shop; to the same addresses it goes once.

    ValidationError (`to`, `message`) where an address is wrong or the letter empty.
    """
    addresses = sorted(address.lower() for address in checked_addresses(to).split(", "))
    workshop = Workshop.objects.filter(pk=1).first()
    if not message.strip():
        raise ValidationError({"message": "Say a word to go with it."})
    return write_letter(
        # Short enough for any number of addresses: a letter's key holds 80 signs.
        key=f"{form} {sha256(','.join(addresses).encode()).hexdigest()[:16]}",
        kind=ORDER_FORM,
        shop=form.shop,
        to=to,
        subject=f"Order form {form}{f' of {workshop.name}' if workshop else ''}",
        body=message,
        files=[form.file],
        by=by,
    )


def usual_message(form: OrderForm) -> str:
    """What the letter says unless it is written otherwise."""
    workshop = Workshop.objects.filter(pk=1).first()
    last = sum(row["last"] for row in form.rows)
    beside = ", with what you took a year ago beside empty cells" if last else ""
    return (
        f"Dear {form.shop.name},\n\nour order form {form} is attached: {counted(len(form.rows), 'candle')} at your "
        f"prices{beside}. Write the pairs you would like into it, choose the day it should leave us, and send it "
        f"back in answer to this letter. {form.note}".rstrip()
        + f"\n\n{workshop.name if workshop else ''}\n"
    )
