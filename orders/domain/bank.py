"""The bank's files: taken in whole or not at all, their columns said once, their lines posted only when seen."""

import hashlib
from collections.abc import Iterable, Mapping
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.words import counted, day
from orders.bank_csv import BadFile, Line, decode, read_lines, read_sheet
from orders.domain.payments import post_payment
from orders.models import BankColumns, BankFile, BankLine, Payment, Shop
from orders.queries.bank import Proposal, proposals

ROLES = ("day", "amount", "money_in", "money_out", "text", "reference", "currency_column")
MOST_BYTES = 1_500_000


@transaction.atomic
def take_in_file(*, name: str, raw: bytes, by) -> BankFile:
    """Take a bank's file in. Known columns: its lines are read at once; else it waits for them to be said.

    The same file taken in again is the one that is there. ValidationError for `file` where it cannot be read.
    """
    if len(raw) > MOST_BYTES:
        raise ValidationError({"file": "The file is too long. Export fewer days."})
    digest = hashlib.sha256(raw).hexdigest()
    if same := BankFile.objects.filter(sha256=digest).first():
        return same
    try:
        text = decode(raw)
        sheet = read_sheet(text)
    except BadFile as bad:
        raise ValidationError({"file": bad.faults}) from None
    file = BankFile.objects.create(
        name=name[:120] or "bank file", content=text, sha256=digest, read_at=timezone.now(), read_by=by
    )
    columns = BankColumns.objects.filter(header=sheet.header_key).first()
    if columns is not None:
        try:
            _read(file, columns)
        except BadFile as bad:
            raise ValidationError({"file": bad.faults}) from None
    return file


@transaction.atomic
def say_columns(*, file: BankFile, columns: BankColumns, by) -> BankFile:
    """Keep what the columns mean, for this file and every later one with the same first row, and read its lines.

    ValidationError, with every fault, where the file cannot be read so; then nothing is kept.
    """
    file = BankFile.objects.select_for_update().get(pk=file.pk)
    if file.columns_id is not None:
        return file
    columns.header = read_sheet(file.content).header_key
    columns.full_clean()
    columns.save()
    try:
        _read(file, columns)
    except BadFile as bad:
        raise ValidationError(bad.faults) from None
    record(subject="bank", subject_id=columns.pk, what=f"Columns of {columns} said, by {file}", by=by)
    return file


def _read(file: BankFile, columns: BankColumns) -> None:
    meant = {role: getattr(columns, role) for role in (*ROLES, "day_order")}
    lines, said = read_lines(read_sheet(file.content), meant, currency=columns.currency, today=timezone.localdate())
    new, known = _new_lines(lines, columns.currency)
    BankLine.objects.bulk_create(
        BankLine(
            file=file, line=one.line, on=one.on, currency=columns.currency, amount=one.amount, text=one.text,
            reference=one.reference, again=one.again,
        )
        for one in new
    )  # fmt: skip
    if known:
        verb = "was" if len(known) == 1 else "were"
        said.insert(0, f"{counted(len(known), 'line')} {verb} read before, with {known[0]}, and left out.")
    file.columns, file.said = columns, said
    file.save(update_fields=["columns", "said"])


def _new_lines(lines: list[Line], currency: str) -> tuple[list[Line], list[str]]:
    """The lines no earlier file brought, and for each of the others the file that did."""
    there = {
        (row.on, row.amount, row.text, row.reference, row.again): row.file.name
        for row in BankLine.objects.filter(currency=currency, on__in={one.on for one in lines}).select_related("file")
    }
    keys = [(one, (one.on, one.amount, one.text, one.reference, one.again)) for one in lines]
    return [one for one, key in keys if key not in there], [there[key] for _, key in keys if key in there]


@transaction.atomic
def post_proposed(*, file: BankFile, seen: Mapping[int, str], by) -> list[Payment]:
    """Post lines of a file as they are proposed. `seen`: by line, Proposal.seen of what was looked at.

    A line whose proposal has changed since refuses everything: what is posted is what was seen. A line posted or put
    aside already is passed over, so that posting twice, or two who post at once, make one payment.
    """
    lines = BankLine.objects.select_for_update().filter(file=file).order_by("pk")
    waiting = [line for line in lines if line.payment_id is None and not line.aside]
    gone = set(seen) - {line.pk for line in lines}
    if gone:
        raise ValidationError("One of these lines is not of this file. Look again.")
    # One shop's ledger after the other, in one order, so that two who post at once never wait for each other.
    _lock_shops(proposals(waiting))
    posted = []
    for found in proposals(waiting):
        if found.pk not in seen:
            continue
        if found.match.shop is None or found.seen != seen[found.pk]:
            raise ValidationError(
                f"Line {found.line.line} ({found.line}) stands differently by now. Look again, then post."
            )
        posted.append(_post(found.line, found.shop, dict(found.match.parts), found.match.prompt, by))
    return posted


def _lock_shops(found: Iterable[Proposal]) -> None:
    keys = {one.match.shop for one in found} - {None}
    list(Shop.objects.select_for_update(no_key=True).filter(pk__in=keys).order_by("pk"))


@transaction.atomic
def post_line_by_hand(
    *, line: BankLine, shop: Shop, parts: Mapping[str, Decimal], prompt: Iterable[str] = (), by
) -> Payment:
    """Post a line to a shop and papers chosen by a person. Posted twice is once."""
    line = BankLine.objects.select_for_update().get(pk=line.pk)
    if line.payment_id is not None:
        return line.payment
    return _post(line, shop, parts, prompt, by)


def _post(line: BankLine, shop: Shop, parts: Mapping[str, Decimal], prompt, by) -> Payment:
    payment = post_payment(
        shop=shop, amount=line.amount, on=line.on, how="bank", currency=line.currency, reference=str(line),
        parts=parts, prompt=prompt, by=by,
    )  # fmt: skip
    line.payment, line.aside = payment, ""
    line.save(update_fields=["payment", "aside"])
    return payment


@transaction.atomic
def put_aside(*, line: BankLine, reason: str, by) -> BankLine:
    """A line that is no shop's payment (interest, a loan, the same payment written twice). Can be taken up again."""
    line = BankLine.objects.select_for_update().get(pk=line.pk)
    if line.payment_id is not None:
        raise ValidationError("It is posted already; take the payment back first.")
    reason = reason.strip()
    if not reason or len(reason) > 120:
        raise ValidationError({"aside": "Say why, in at most 120 characters."})
    line.aside = reason
    line.save(update_fields=["aside"])
    record(subject="bank line", subject_id=line.pk, what=f"{line} of {day(line.on)} put aside: {reason}", by=by)
    return line


@transaction.atomic
def take_up(*, line: BankLine, by) -> BankLine:
    """A line put aside waits again."""
    line = BankLine.objects.select_for_update().get(pk=line.pk)
    if line.aside:
        line.aside = ""
        line.save(update_fields=["aside"])
        record(subject="bank line", subject_id=line.pk, what=f"{line} of {day(line.on)} waits again", by=by)
    return line
