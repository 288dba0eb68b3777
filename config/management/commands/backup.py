from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from config.telling import say
from config.whole_copy.laid_out import NewerBook
from config.whole_copy.making import make_copy


class Command(BaseCommand):
    help = "A whole copy of the book as one file, also while it is served. `restore` brings it back."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path, help="where to write it; a file that is there is never overwritten")

    def handle(self, *, file: Path, **options):
        try:
            manifest = make_copy(file)
        except FileExistsError:
            raise CommandError(f"{file} is there already: name another file, or move that one away.") from None
        except NewerBook as newer:
            raise CommandError(str(newer)) from None
        except OSError as failed:
            raise CommandError(f"{file} cannot be written: {failed.strerror}") from failed
        rows = sum(part["rows"] for part in manifest["tables"].values())
        say(f"{file}: {rows:,} rows of {len(manifest['tables'])} tables, {file.stat().st_size / 1e6:,.1f} MB.")
        say("It holds everything the book knows: keep it where nobody else can read it.")
