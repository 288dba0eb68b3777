"""Sheets brought in: every row is checked first and all faults told at once; then all rows are loaded, or none.

Checking does the very work of loading inside a transaction and takes it back, so a sheet that passed the check can
fail only by what somebody changed since.
"""

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field

from django.core.exceptions import NON_FIELD_ERRORS, PermissionDenied, ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.domain.records import record
from inventory.models import SheetFile, SheetMapping
from inventory.sheets import Sheet, SheetRefused, read_sheet
from inventory.sheets.columns import Column, Fault, FilledRow, Match, heading_faults, match_headings, read_rows
from inventory.sheets.outcome import Outcome
from inventory.sheets.parts import Clock
from inventory.sheets.values import key
from inventory.sheets.words import what_comes

# While rows are tried nobody else can write to a book on SQLite, and who has to wait longer than 20 s is refused.
MOST_WORK_SECONDS = 15


@dataclass(frozen=True)
class Read:
    """A file as read: what it holds, and the faults that its cells show by themselves."""

    name: str
    sha256: str
    sheet: Sheet
    columns: Sequence[Column]
    matches: Sequence[Match]
    rows: Sequence[FilledRow]
    faults: Sequence[Fault]


@dataclass
class Taking:
    """A load under way: who, from which file, and what has become of each row."""

    read: Read
    by: object
    clock: Clock
    outcomes: list[Outcome] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    @contextmanager
    def row(self, row: FilledRow) -> Iterator[None]:
        """The work of one row: refused, it is taken back alone, told at its cells, and the next row is tried."""
        self.clock.check()
        try:
            with transaction.atomic():
                yield
        except ValidationError as error:
            self.faults += self._told(row, error)
        except IntegrityError:
            # Somebody wrote the same name or number at this moment.
            self.faults.append(Fault(row.number, None, "", "the book has changed meanwhile. Check the sheet again."))

    def became(self, row: FilledRow, what: str, label: object, said: str = "") -> None:
        self.outcomes.append(Outcome(row.number, what, str(label), said))

    def need(self, row: FilledRow, *names: str) -> None:
        """ValidationError for each of the columns that is not filled in this row."""
        if lacking := {name: "is needed." for name in names if name not in row.values}:
            raise ValidationError(lacking)

    def _told(self, row: FilledRow, error: ValidationError) -> Iterator[Fault]:
        by_field = error.message_dict if hasattr(error, "error_dict") else {NON_FIELD_ERRORS: error.messages}
        places = {match.column: match.at for match in reversed(self.read.matches)}
        labels = {column.name: f"{column.label}: " for column in self.read.columns}
        for name, messages in by_field.items():
            at = places.get(name)
            label = labels.get(name, "") if at is None else ""
            for message in messages:
                yield Fault(row.number, at, row.text(at), label + message)


@dataclass(frozen=True)
class Kind:
    """A kind of sheet. `place`: URL name of where its rows are seen afterwards. `columns()` are looked up each time,
    for what they name is in the book; `keys`: columns in which nothing may stand twice; `once`: the same content
    loaded again would do its work again; `take(rows, taking)` does the work through the domain's own verbs.
    """

    key: str
    title: str
    place: str
    one: str
    many: str
    says: Sequence[str]
    columns: Callable[[], Sequence[Column]]
    take: Callable[[Sequence[FilledRow], Taking], None]
    keys: Sequence[str] = ()
    once: bool = False


@dataclass(frozen=True)
class Result:
    """What a check found. Without faults, `outcomes` says what loading does (or did)."""

    sheet: Sheet
    columns: Sequence[Column]
    matches: Sequence[Match]
    faults: Sequence[Fault]
    outcomes: Sequence[Outcome]


def read_file(kind: Kind, data: bytes, name: str) -> tuple[Sheet, list[Column], list[Match]]:
    """The sheet in a file, and its headings as far as they are known. SheetRefused where it cannot be read."""
    columns = list(kind.columns())
    sheet = read_sheet(data, name, [spelling for column in columns for spelling in column.spellings])
    return sheet, columns, match_headings(sheet.headings, columns, remembered(kind))


def remembered(kind: Kind) -> dict[str, str]:
    return dict(SheetMapping.objects.filter(kind=kind.key).values_list("heading", "column"))


@transaction.atomic
def remember_headings(*, kind: Kind, meant: Mapping[str, str], by) -> None:
    """Keep what headings mean: heading -> a column's name, or "" for left out. Every later sheet is read so."""
    _check_owner(by)
    names = {column.name for column in kind.columns()}
    for heading, column in meant.items():
        if column and column not in names:
            raise ValidationError(f"There is no column {column} in a sheet of {kind.many}.")
        kept, new = SheetMapping.objects.get_or_create(
            kind=kind.key, heading=key(heading), defaults={"column": column}
        )
        if new or kept.column != column:
            SheetMapping.objects.filter(pk=kept.pk).update(column=column)
            what = f"In sheets of {kind.many}, “{heading[:60]}” is {column or 'left out'}."
            record(subject="sheet", subject_id=kept.pk, what=what, by=by)


def check_sheet(*, kind: Kind, data: bytes, name: str, by) -> Result:
    """What loading this file would do, and everything that stands against it. Changes nothing.

    SheetRefused where the file cannot be read, or takes too long.
    """
    read = _read(kind, data, name)
    with transaction.atomic():
        result = _take(kind, read, by)
        transaction.set_rollback(True)
    return result


def take_in_sheet(*, kind: Kind, data: bytes, name: str, by) -> SheetFile:
    """Keep a file until it is checked and loaded. ValidationError for `file`, every fault at once, where it cannot be
    read or, for a kind that is loaded once, was loaded before. One's older files that were never loaded go.
    """
    _check_owner(by)
    try:
        read_file(kind, data, name)
    except SheetRefused as refused:
        raise ValidationError({"file": refused.faults}) from None
    file = _new_file(kind, data, name, by)
    _check_not_loaded(kind, file.sha256)
    file.data = data
    with transaction.atomic():
        SheetFile.objects.filter(loaded_at=None, taken_by=by).delete()
        file.save()
    return file


def load_file(*, kind: Kind, file: SheetFile, by) -> Result | None:
    """Load a kept file, all rows or none: a result with faults changed nothing. Loaded already: None, nothing is done.

    SheetRefused where it takes too long; ValidationError where the same content was loaded from another copy.
    """
    _check_owner(by)
    if file.loaded_at:
        return None
    read = _read(kind, bytes(file.data), file.name)
    with transaction.atomic():
        file = SheetFile.objects.select_for_update(of=("self",)).filter(pk=file.pk).first()
        if file is None:
            raise ValidationError("Another sheet was brought in meanwhile, and this one put away. Bring it in again.")
        return None if file.loaded_at else _load(kind, file, read, by)


def load_sheet(*, kind: Kind, data: bytes, name: str, by) -> Result:
    """Take a file in and load it at once, all rows or none. Refuses as `take_in_sheet` and `load_file` do."""
    _check_owner(by)
    read = _read(kind, data, name)
    with transaction.atomic():
        return _load(kind, _new_file(kind, data, name, by), read, by)


def _new_file(kind: Kind, data: bytes, name: str, by) -> SheetFile:
    sha256 = hashlib.sha256(data).hexdigest()
    name, now = name[:120] or "sheet", timezone.now()
    return SheetFile(kind=kind.key, name=name, sha256=sha256, once=kind.once, taken_at=now, taken_by=by)


def _load(kind: Kind, file: SheetFile, read: Read, by) -> Result:
    """Inside a transaction, which a fault rolls back."""
    _check_not_loaded(kind, file.sha256)
    result = _take(kind, read, by)
    if result.faults:
        transaction.set_rollback(True)
    else:
        _put_down(kind, file, result, by)
    return result


def _put_down(kind: Kind, file: SheetFile, result: Result, by) -> None:
    file.data = b""
    file.loaded_at, file.loaded_by = timezone.now(), by
    file.told = [f"{what_comes(result.outcomes, kind.one, kind.many)}."]
    try:
        with transaction.atomic():
            file.save()
    except IntegrityError:
        # A second copy of the same file was loaded at this moment.
        raise _loaded_before(kind, file.sha256) from None
    what = f"Sheet “{file.name}” loaded: {file.told[0]}"
    record(subject="sheet", subject_id=file.pk, what=what, by=by)


def _read(kind: Kind, data: bytes, name: str) -> Read:
    """The file's rows and their faults, before anything is locked for them."""
    clock = Clock()
    sheet, columns, matches = read_file(kind, data, name)
    rows, bad = read_rows(sheet, matches, columns, kind.keys, clock)
    faults = [*heading_faults(sheet, matches, columns), *bad]
    return Read(name, hashlib.sha256(data).hexdigest(), sheet, columns, matches, rows, faults)


def _take(kind: Kind, read: Read, by) -> Result:
    """Do the work of every row that reads well; the caller takes it back where there are faults."""
    taking = Taking(read, by, Clock(MOST_WORK_SECONDS, "Trying the rows on the book"))
    kind.take(read.rows, taking)
    faults = sorted([*read.faults, *taking.faults], key=lambda fault: (fault.row, fault.column or 0))
    return Result(read.sheet, read.columns, read.matches, faults, [] if faults else taking.outcomes)


def _check_owner(by) -> None:
    if not by.owner:
        raise PermissionDenied("Only the owner brings sheets in.")


def _check_not_loaded(kind: Kind, sha256: str) -> None:
    if kind.once and SheetFile.objects.filter(kind=kind.key, sha256=sha256, loaded_at__isnull=False).exists():
        raise _loaded_before(kind, sha256)


def _loaded_before(kind: Kind, sha256: str) -> ValidationError:
    before = SheetFile.objects.filter(kind=kind.key, sha256=sha256, loaded_at__isnull=False).first()
    when = f" on {timezone.localtime(before.loaded_at):%d %B %Y} by {before.loaded_by}" if before else ""
    return ValidationError(
        {"file": f"This very file was loaded{when}; loaded again, everything in it would be in the book twice."}
    )
