"""Brings a whole copy back: into an empty database, or, when told so, in the place of the book that is there.

The tables are laid out as they were when the copy was made, filled, and then brought up to date like any older book:
a copy made by an earlier Wickturn loses nothing on its way.
"""

import json
import sqlite3
import zipfile
from collections.abc import Iterator
from pathlib import Path

from django.core.management import call_command
from django.core.management.color import no_style
from django.db import DatabaseError, connection, transaction
from django.db.migrations.executor import MigrationExecutor

from config.fair_sqlite.turn import QUEUE
from config.whole_copy.laid_out import apps_at, leaves_applied
from config.whole_copy.rows import FORMAT, HOUSE, DamagedCopy, Digest, label_of, rows_from, tables

BATCH = 500
MOST_BYTES = 64 * 1024**3


class NotEmpty(Exception):
    """The database holds a book already."""


def read_manifest(archive: zipfile.ZipFile) -> dict:
    """DamagedCopy where the file is no copy of a book, or one this Wickturn is too old for."""
    try:
        manifest = json.loads(archive.read("manifest.json"))
        known = manifest["format"] == FORMAT and all(isinstance(manifest[name], dict) for name in ("leaves", "tables"))
    except (KeyError, ValueError, TypeError, zipfile.BadZipFile) as wrong:
        raise DamagedCopy("It is not a copy of a book.") from wrong
    if not known:
        raise DamagedCopy("It was made by a newer Wickturn: bring this one up to date first.")
    if sum(part.file_size for part in archive.infolist()) > MOST_BYTES:
        raise DamagedCopy("It is larger than any book.")
    return manifest


def restore_copy(path: Path, *, over: bool = False) -> dict:
    """Fill the database the settings name from the file; its manifest. All of it or nothing.

    NotEmpty where a book is there and `over` is not set; DamagedCopy where the file is not whole.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            manifest = read_manifest(archive)
            filled = is_filled()
            if filled and not over:
                raise NotEmpty
            # Laid out already and nothing in it: the tables can stay.
            ready = not filled and leaves_applied() == manifest["leaves"]
            into = _into_sqlite if connection.vendor == "sqlite" else _into_server
            into(archive, manifest, ready)
    except zipfile.BadZipFile:
        raise DamagedCopy("It is not a copy of a book, or was broken off.") from None
    return manifest


def is_filled() -> bool:
    """Whether the database holds a person already: nothing is written in a book before its first owner."""
    try:
        with connection.cursor() as cursor:
            if "config_person" not in connection.introspection.table_names(cursor):
                return False
            cursor.execute("SELECT 1 FROM config_person")
            return cursor.fetchone() is not None
    except DatabaseError as failed:
        raise DamagedCopy(f"The database does not answer: {failed}") from failed


def _into_sqlite(archive: zipfile.ZipFile, manifest: dict, ready: bool) -> None:
    """Into a new file, which takes the book's place when it is whole. Nobody may be serving the book meanwhile."""
    place = Path(connection.settings_dict["NAME"])
    new = place.with_name(f"{place.name}.restoring")
    connection.close()
    for left in _files(new):
        left.unlink(missing_ok=True)
    if ready:
        _copy_sqlite(place, new)
    connection.settings_dict["NAME"] = str(new)
    try:
        _fill(archive, manifest)
        with connection.cursor() as cursor:
            # All of it in the one file that is moved.
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
        connection.close()
        for old in _files(place)[1:]:
            old.unlink(missing_ok=True)
        new.replace(place)
    finally:
        connection.close()
        connection.settings_dict["NAME"] = str(place)
        for left in _files(new):
            left.unlink(missing_ok=True)


def _copy_sqlite(path: Path, to: Path) -> None:
    book, copy = sqlite3.connect(path), sqlite3.connect(to)
    book.backup(copy)
    book.close()
    copy.close()


def _files(path: Path) -> list[Path]:
    """A SQLite database and what lies beside it."""
    return [path, *(path.with_name(path.name + end) for end in ("-wal", "-shm", *QUEUE))]


def _into_server(archive: zipfile.ZipFile, manifest: dict, ready: bool) -> None:
    """In one transaction, the tables too: a restore that fails leaves the old book as it was."""
    with transaction.atomic():
        with connection.cursor() as cursor:
            for table in () if ready else connection.introspection.table_names(cursor):
                cursor.execute(f"DROP TABLE IF EXISTS {connection.ops.quote_name(table)} CASCADE")
        _fill(archive, manifest)


def _fill(archive: zipfile.ZipFile, manifest: dict) -> None:
    apps = _laid_out(manifest["leaves"])
    models = tables(apps)
    if missing := set(manifest["tables"]) ^ {label_of(model) for model in models}:
        raise DamagedCopy(f"Its tables are not those of its time: {', '.join(sorted(missing))}.")
    with transaction.atomic():
        # Laying tables out leaves constraints immediate; rows come in no order of who names whom.
        connection.check_constraints()
        _empty(models)
        for model in models:
            part = manifest["tables"][label_of(model)]
            _load(model, _checked(archive, model, part))
        _go_on_counting(models)
        # Now rather than at the end: a table with foreign keys still to be looked at cannot be altered.
        connection.check_constraints()
    call_command("migrate", verbosity=0, interactive=False)


def _laid_out(leaves: dict[str, str]):
    """Tables as they were then; the models of that time. DamagedCopy for a time this Wickturn does not know."""
    executor = MigrationExecutor(connection)
    graph = executor.loader.graph
    wanted = [(app, leaves[app]) for app in HOUSE if app in leaves]
    if unknown := [f"{app} {name}" for app, name in wanted if (app, name) not in graph.nodes]:
        raise DamagedCopy(f"It was made by a newer Wickturn ({', '.join(unknown)}): bring this one up to date first.")
    others = [node for node in graph.leaf_nodes() if node[0] not in HOUSE]
    executor.migrate([*others, *wanted])
    return apps_at(dict(wanted))


def _empty(models) -> None:
    """What the migrations put in goes: the copy has it, as the owner has changed it since."""
    with connection.cursor() as cursor:
        for model in models:
            table = connection.ops.quote_name(model._meta.db_table)
            cursor.execute(f"SELECT 1 FROM {table}")  # noqa: S608 - a table's own name
            if cursor.fetchone():
                cursor.execute(f"DELETE FROM {table}")  # noqa: S608 - as above


def _checked(archive: zipfile.ZipFile, model, part: dict) -> Iterator[bytes]:
    digest = Digest()
    try:
        with archive.open(f"rows/{label_of(model)}.jsonl") as lines:
            for line in lines:
                yield digest.add(line)
    except (KeyError, zipfile.BadZipFile, EOFError) as wrong:
        raise DamagedCopy(f"{label_of(model)} is not whole.") from wrong
    if (digest.rows, digest.hex) != (part["rows"], part["sha256"]):
        raise DamagedCopy(f"{label_of(model)} is not as it was written: {digest.rows:,} of {part['rows']:,} rows.")


def _load(model, lines: Iterator[bytes]) -> None:
    batch = []
    for row in rows_from(model, lines):
        batch.append(row)
        if len(batch) == BATCH:
            model._base_manager.bulk_create(batch)
            batch = []
    if batch:
        model._base_manager.bulk_create(batch)


def _go_on_counting(models) -> None:
    """Keys of new rows begin above those that came."""
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), models):
            cursor.execute(statement)
