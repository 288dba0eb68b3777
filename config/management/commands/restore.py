from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from config.telling import say
from config.whole_copy.restoring import NotEmpty, restore_copy
from config.whole_copy.rows import DamagedCopy

FULL = (
    "There is a book in this database already. To put the copy in its place, stop the server and give --over; "
    "what is there now is lost then."
)


class Command(BaseCommand):
    # There may be no database yet.
    requires_system_checks = []
    help = "Bring a copy made by `backup` back, into an empty database of either kind."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)
        parser.add_argument("--over", action="store_true", help="in the place of the book that is there")

    def handle(self, *, file: Path, over: bool, **options):
        settings.DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)
        try:
            manifest = restore_copy(file, over=over)
        except NotEmpty:
            raise CommandError(FULL) from None
        except DamagedCopy as damaged:
            raise CommandError(f"{file} was not restored, and nothing was changed. {damaged}") from None
        except OSError as failed:
            raise CommandError(f"{file} cannot be read: {failed.strerror}") from failed
        rows = sum(part["rows"] for part in manifest["tables"].values())
        say(f"{rows:,} rows as they were on {manifest['made_at'][:16].replace('T', ' at ')}.")
        say("Passwords are as they were then; everybody signs in anew. Look it over with: python3 manage.py audit")
