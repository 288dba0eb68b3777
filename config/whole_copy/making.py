"""Makes a whole copy while others write: it shows the book as it was at one moment."""

import json
import os
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from django.db import connection, transaction
from django.utils import timezone

from config.whole_copy.laid_out import apps_at, leaves_applied, refuse_newer_book
from config.whole_copy.rows import FORMAT, Digest, label_of, lines_of, tables


def make_copy(to: Path) -> dict:
    """Write the file and return its manifest. It appears under its name only when it is whole, and never in the place
    of another: FileExistsError. Readable for its owner alone, for it holds everything. NewerBook where it could not be
    whole.
    """
    refuse_newer_book()
    if to.exists():
        raise FileExistsError(to)
    draft = to.with_name(f"{to.name}.{os.getpid()}.part")
    try:
        with os.fdopen(os.open(draft, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o600), "w+b") as file:
            with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive, _one_moment():
                manifest = _fill(archive)
            file.flush()
            os.fsync(file.fileno())
        _name(draft, to)
    finally:
        draft.unlink(missing_ok=True)
    return manifest


def _name(draft: Path, to: Path) -> None:
    """Give the whole file its name, never in the place of another: FileExistsError."""
    try:
        os.link(draft, to)
    except FileExistsError:
        raise
    except OSError:
        # A stick or a share may know no second name for a file.
        if to.exists():
            raise FileExistsError(to) from None
        draft.rename(to)


def _fill(archive: zipfile.ZipFile) -> dict:
    # As this database is laid out, which before an upgrade is not as the code would have it.
    parts, leaves = {}, leaves_applied()
    for model in tables(apps_at(leaves)):
        digest = Digest()
        with archive.open(f"rows/{label_of(model)}.jsonl", "w", force_zip64=True) as part:
            for line in lines_of(model):
                part.write(digest.add(line))
        parts[label_of(model)] = {"rows": digest.rows, "sha256": digest.hex}
    manifest = {"format": FORMAT, "made_at": timezone.now().isoformat(), "leaves": leaves, "tables": parts}
    archive.writestr("manifest.json", json.dumps(manifest, indent=1))
    return manifest


@contextmanager
def _one_moment() -> Iterator[None]:
    """What is read within is the book as it is now, whatever is written meanwhile. No writer waits for it."""
    if connection.vendor == "sqlite":
        connection.ensure_connection()
        with connection.cursor() as cursor:
            # Django's own transactions are IMMEDIATE: this one only reads, and the write-ahead log keeps its moment.
            cursor.execute("BEGIN DEFERRED")
            try:
                yield
            finally:
                cursor.execute("ROLLBACK")
        return
    with transaction.atomic():
        with connection.cursor() as cursor:
            cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ READ ONLY")
        yield
