"""A whole copy made and brought back: every row the same, in either database, and nothing half done."""

import threading
import zipfile
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from config.migrated import copy_migrated
from config.whole_copy.making import make_copy
from config.whole_copy.restoring import restore_copy
from config.whole_copy.rows import DamagedCopy, tables
from inventory.models import Movement
from tests.config.books import manage, tables_in
from tests.factories import make_lot, make_person
from tests.factories.season import make_season

NEWER = b'{"format": 99, "leaves": {}, "tables": {}}'
pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def copy(tmp_path) -> Path:
    """A season with notes, papers and their bytes, copied from the test's own database."""
    make_season()
    make_copy(tmp_path / "season.wickturn")
    return tmp_path / "season.wickturn"


@pytest.mark.sqlite
def test_every_row_comes_back_and_the_audit_is_silent(copy, tmp_path):
    copy_migrated(tmp_path / "other.sqlite3")
    other_database = f"sqlite:///{tmp_path}/other.sqlite3"
    said = manage(other_database, "restore", copy)
    assert "rows as they were on" in said
    assert "No breach found" in manage(other_database, "audit")
    again = tmp_path / "again.wickturn"
    manage(other_database, "backup", again)
    assert tables_in(again) == tables_in(copy)
    assert sum(part["rows"] for part in tables_in(copy).values()) > 50
    assert again.stat().st_mode & 0o077 == 0
    # A book that is there is not written over unasked.
    assert "There is a book in this database already" in manage(other_database, "restore", copy, ok=False)


def test_a_copy_holds_every_table_of_the_house(copy):
    from django.apps import apps

    labels = set(tables_in(copy))
    assert labels == {model._meta.label_lower for model in tables(apps)}
    assert {"orders.paperfile", "inventory.movement", "config.person", "orders.letter_papers"} <= labels
    assert not {label for label in labels if label.startswith(("sessions.", "axes."))}


def test_a_copy_never_takes_the_place_of_a_file(copy):
    before = copy.read_bytes()
    with pytest.raises(CommandError, match="is there already"):
        call_command("backup", str(copy))
    assert copy.read_bytes() == before
    assert [path.name for path in copy.parent.glob("*.part")] == []


@pytest.mark.sqlite
def test_it_shows_one_moment_while_others_write(tmp_path, monkeypatch):
    from config.whole_copy import making

    lot, by = make_lot(pairs=10), make_person()
    lines_of, wrote = making.lines_of, []

    def write():
        wrote.append(make_lot(pairs=7, by=by))
        connection.close()

    def write_meanwhile(model):
        yield from lines_of(model)
        if not wrote:
            thread = threading.Thread(target=write)
            thread.start()
            thread.join(30)

    monkeypatch.setattr(making, "lines_of", write_meanwhile)
    manifest = make_copy(tmp_path / "book.wickturn")
    assert Movement.objects.count() == manifest["tables"]["inventory.movement"]["rows"] + 1
    assert manifest["tables"]["inventory.lot"]["rows"] == 1
    assert wrote[0] != lot


@pytest.mark.parametrize(
    ("spoil", "said"),
    [
        (lambda parts: parts.pop("manifest.json"), "not a copy of a book"),
        (
            lambda parts: parts.update({"manifest.json": b'{"format": 99, "leaves": {}, "tables": {}}'}),
            "newer Wickturn",
        ),
        (lambda parts: parts.update({"manifest.json": b"[]"}), "not a copy of a book"),
    ],
)
def test_what_is_no_copy_is_refused_in_words(copy, tmp_path, spoil, said):
    with zipfile.ZipFile(copy) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    spoil(parts)
    broken = tmp_path / "broken.wickturn"
    with zipfile.ZipFile(broken, "w") as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    with pytest.raises(DamagedCopy, match=said):
        restore_copy(broken, over=True)
    assert Movement.objects.exists()


def test_a_file_broken_off_is_refused(copy, tmp_path):
    broken = tmp_path / "broken.wickturn"
    broken.write_bytes(copy.read_bytes()[:-200])
    with pytest.raises(CommandError, match="not restored, and nothing was changed"):
        call_command("restore", str(broken), "--over")
    with pytest.raises(CommandError, match="cannot be read"):
        call_command("restore", str(tmp_path / "nowhere"), "--over")
    with pytest.raises(CommandError, match="already"):
        call_command("restore", str(copy))
    assert Movement.objects.exists()


@pytest.mark.sqlite
def test_an_empty_database_address_names_the_book_of_its_own(tmp_path):
    # As an environment file says it where the line is left unfilled.
    assert f"no book in {tmp_path} yet" in manage("", "audit", ok=False, WICKTURN_DATA=str(tmp_path))
    named = manage(
        "",
        "shell",
        "-c",
        "from django.conf import settings; print(settings.DATABASES['default']['NAME'])",
        WICKTURN_DATA=str(tmp_path),
    )
    assert str(tmp_path / "book.sqlite3") in named
