"""A book at the oldest migrations, brought up to date: every row and every value is still there, the audit is silent.

`oldest_book.wickturn` holds the demo workshop as the first Wickturn with a demo loaded it, cut down to some sixty
orders, in the tables of each app's first migration.
"""

import json
import zipfile
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command
from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from config import serving
from config.models import Person
from config.whole_copy import restoring
from config.whole_copy.laid_out import leaves_applied
from config.whole_copy.making import make_copy
from config.whole_copy.restoring import restore_copy
from tests.config.books import audit, led_to, manifest_of, new_on_server
from tests.factories import make_person

OLDEST = Path(__file__).with_name("oldest_book.wickturn")
NOWHERE = "nowhere"
pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def bare(tmp_path):
    """The connection leads to a database of its own, without a table."""
    if connection.vendor == "sqlite":
        with led_to(str(tmp_path / "upgraded.sqlite3")):
            yield
        return
    name = f"{connection.settings_dict['NAME']}_upgraded"
    with new_on_server(name), led_to(name):
        yield


@pytest.fixture
def copies(tmp_path, settings):
    """The folder of copies of a book of its own."""
    settings.DATA_DIR, settings.IS_DEMO = tmp_path, False
    settings.COPIES = settings.OWN_COPIES = tmp_path / "copies"
    return settings.COPIES


def rows_of(file: Path) -> dict[str, dict]:
    """By table, by key, the row."""
    with zipfile.ZipFile(file) as archive:
        return {
            label: {
                (row := json.loads(line)).get("id", row.get("name")): row
                for line in archive.open(f"rows/{label}.jsonl")
            }
            for label in manifest_of(file)["tables"]
        }


def lost(before: Path, after: Path) -> list[str]:
    """Values of the one copy that the other has no more, or otherwise."""
    now = rows_of(after)
    return [
        f"{label} {key}: {name} was {value!r}, is {kept.get(name, NOWHERE)!r}"
        for label, rows in rows_of(before).items()
        for key, row in rows.items()
        for kept in [now.get(label, {}).get(key, {})]
        for name, value in row.items()
        if kept.get(name, NOWHERE) != value
    ]


@pytest.mark.long
def test_a_copy_of_the_oldest_book_comes_back_and_loses_nothing(bare, tmp_path):
    restore_copy(OLDEST)
    make_copy(tmp_path / "now.wickturn")
    assert sum(part["rows"] for part in manifest_of(OLDEST)["tables"].values()) > 1000
    assert lost(OLDEST, tmp_path / "now.wickturn") == []
    assert audit() == []


@pytest.mark.long
def test_the_oldest_book_is_copied_brought_up_to_date_and_loses_nothing(bare, tmp_path, copies, monkeypatch):
    with monkeypatch.context() as stopped:
        # Laid out and filled as it was, and not brought up to date yet.
        stopped.setattr(restoring, "call_command", lambda *how, **more: None)
        restore_copy(OLDEST)
    assert leaves_applied() == manifest_of(OLDEST)["leaves"]
    serving.prepare_book()
    make_copy(tmp_path / "now.wickturn")
    assert lost(OLDEST, tmp_path / "now.wickturn") == []
    assert audit() == []
    (before,) = copies.iterdir()
    assert manifest_of(before)["tables"] == manifest_of(OLDEST)["tables"]


# When it begins: what is asked of the database is the same in both, and the whole way above runs on both


@pytest.fixture
def older_book():
    """A book with its owner, of which the last migration of the orders is said not to have been yet."""
    make_person("owner")
    recorder, last = MigrationRecorder(connection), leaves_applied()["orders"]
    recorder.record_unapplied("orders", last)
    yield last
    recorder.record_applied("orders", last)


@pytest.fixture
def laid_out(monkeypatch):
    """Nothing is migrated; the list says what was asked for."""
    asked = []
    monkeypatch.setattr(serving, "call_command", lambda name, **how: asked.append(name))
    return asked


@pytest.mark.sqlite
def test_an_older_book_is_copied_as_it_is_before_it_is_brought_up_to_date(older_book, laid_out, copies, capsys):
    serving.prepare_book()
    (before,) = copies.iterdir()
    assert laid_out == ["migrate"]
    assert manifest_of(before)["leaves"]["orders"] < older_book
    assert manifest_of(before)["tables"]["config.person"]["rows"] == 1
    assert f"The book as it was is kept in {before}" in capsys.readouterr().out


@pytest.mark.sqlite
def test_without_a_copy_no_book_is_brought_up_to_date(older_book, laid_out, copies, settings):
    settings.COPIES = copies.parent / "disk"
    with pytest.raises(CommandError, match=r"disk is not there\. Plug its disk in"):
        serving.prepare_book()
    assert laid_out == []


@pytest.mark.sqlite
@pytest.mark.parametrize("whose", ["nobody's", "the demo's"])
def test_a_book_that_holds_nothing_of_anybodys_is_not_copied(older_book, laid_out, copies, settings, whose):
    if whose == "nobody's":
        Person.objects.all().delete()
    settings.IS_DEMO = whose == "the demo's"
    serving.prepare_book()
    assert (laid_out, copies.exists()) == (["migrate"], False)


@pytest.mark.sqlite
def test_a_newer_wickturns_book_is_neither_served_nor_copied_in_part(copies, tmp_path):
    recorder = MigrationRecorder(connection)
    recorder.record_applied("orders", "9999_of_a_year_to_come")
    try:
        with pytest.raises(CommandError, match=r"newer Wickturn .*orders 9999_of_a_year_to_come"):
            serving.prepare_book()
        with pytest.raises(CommandError, match="newer Wickturn"):
            call_command("backup", str(tmp_path / "book.wickturn"))
        assert not (tmp_path / "book.wickturn").exists()
    finally:
        recorder.record_unapplied("orders", "9999_of_a_year_to_come")
