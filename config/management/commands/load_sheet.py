"""manage.py load_sheet KIND FILE: shops, candles, stock or orders from a CSV or XLSX file; all rows or none."""

from pathlib import Path

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection

from config.models import Person
from inventory.domain.sheets import Kind, Result, check_sheet, load_sheet
from inventory.sheets import SheetRefused
from inventory.sheets.parts import MOST_BYTES
from inventory.sheets.words import fault_line, what_comes, what_is_wrong
from orders.domain.sheets import KINDS


class Command(BaseCommand):
    help = "Loads a sheet: every row is checked first, then all are loaded or none. Exits 1 where there is a fault."

    def add_arguments(self, parser):
        parser.add_argument("kind", choices=sorted(KINDS))
        parser.add_argument("file", metavar="FILE", help="CSV or XLSX, the headings in any order")
        parser.add_argument("--check", action="store_true", help="only say what it would do; nothing changes")
        parser.add_argument("--by", metavar="NAME", help="sign-in name of the owner who does it (default: the first)")

    def handle(self, **options):
        kind, name = KINDS[options["kind"]], Path(options["file"]).name
        data = read_bytes(options["file"])
        act = check_sheet if options["check"] else load_sheet
        try:
            result = act(kind=kind, data=data, name=name, by=owner(options["by"]))
        except SheetRefused as refused:
            self.refuse(refused.faults)
        except ValidationError as refused:
            self.refuse(refused.messages)
        if result.faults:
            self.refuse([fault_line(fault) for fault in result.faults], what_is_wrong(result.faults))
        self.tell(kind, result, checked=options["check"])

    def refuse(self, lines: list[str], last: str = "Nothing is loaded"):
        for line in lines:
            self.stderr.write(line)
        self.stderr.write(f"{last}.")
        raise SystemExit(1)

    def tell(self, kind: Kind, result: Result, *, checked: bool) -> None:
        for outcome in result.outcomes:
            self.stdout.write(f"row {outcome.row} {outcome.label}, {outcome.what}: {outcome.said}")
        if result.sheet.left_out:
            self.stdout.write(f"Only the first sheet is read; left out: {', '.join(result.sheet.left_out)}.")
        done = "Checked, nothing is changed" if checked else "Loaded"
        self.stdout.write(f"{done}. {what_comes(result.outcomes, kind.one, kind.many)}.")


def read_bytes(name: str) -> bytes:
    """The file's content, at most a little more than is ever read. CommandError where there is none."""
    try:
        with Path(name).open("rb") as file:
            return file.read(MOST_BYTES + 1)
    except OSError as failed:
        raise CommandError(f"{name}: {(failed.strerror or str(failed)).lower()}") from None


def owner(name: str | None) -> Person:
    """The owner who does it: the one named, else the first. CommandError where there is no such owner, or no book."""
    book = settings.DATABASES["default"]["NAME"]
    none = "There is no book yet: start with `python3 manage.py demo` or `serve`."
    if connection.vendor == "sqlite" and not settings.TESTING and not Path(book).exists():
        raise CommandError(none)
    owners = Person.objects.filter(owner=True, is_active=True).order_by("pk")
    try:
        found = owners.filter(username=name.strip().lower()).first() if name else owners.first()
    except DatabaseError as failed:
        raise CommandError(f"The book cannot be read: {str(failed).strip()}") from None
    if found is None:
        raise CommandError(f"No owner has the sign-in name {name}." if name else none)
    return found
