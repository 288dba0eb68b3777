import os
import subprocess
import sys

import pytest
from django.conf import settings
from django.db import connection, connections

from config import checks
from tests.conftest import ROOT

KEY = "a-key-of-the-tests-only-0123456789-abcdefghijklmnopqrstuvwxyz-XYZ"


def run_check(*arguments, tmp_path, **env):
    """`manage.py check` in a process of its own, with nothing in the environment but what is named."""
    clean = {
        name: value for name, value in os.environ.items() if not name.startswith(("WICKTURN", "DATABASE", "DJANGO"))
    }
    env = {**clean, "WICKTURN_DATA": str(tmp_path), "DJANGO_SETTINGS_MODULE": "config.settings", **env}
    command = [sys.executable, "-m", "django", "check", *arguments]
    return subprocess.run(command, env=env, cwd=ROOT, capture_output=True, text=True, timeout=120, check=False)


def test_under_tls_the_deployment_check_is_silent(tmp_path):
    done = run_check(
        "--deploy",
        "--fail-level",
        "DEBUG",
        tmp_path=tmp_path,
        WICKTURN_SECRET_KEY=KEY,
        WICKTURN_HOSTS="book.tallowlane.example",
    )
    assert done.returncode == 0, done.stderr
    assert done.stdout.strip() == "System check identified no issues (0 silenced)."
    assert done.stderr == ""


def test_behind_a_proxy_it_is_silent_too(tmp_path):
    done = run_check(
        "--deploy", "--fail-level", "DEBUG", tmp_path=tmp_path, WICKTURN_SECRET_KEY=KEY, WICKTURN_BEHIND_PROXY="1"
    )
    assert (done.returncode, done.stderr) == (0, "")


def test_plain_http_says_on_every_start_what_it_gives_up(tmp_path):
    done = run_check(tmp_path=tmp_path, WICKTURN_SECRET_KEY=KEY, WICKTURN_PLAIN_HTTP="1")
    assert done.returncode == 0
    assert "wickturn.W001" in done.stderr
    for given_up in (
        "passwords, PINs",
        "readable",
        "changed on its way",
        "no HSTS",
        "no redirect",
        "not marked secure",
    ):
        assert given_up in done.stderr
    assert "1 issue" in done.stderr


def test_a_missing_key_and_a_host_for_all_are_told(tmp_path):
    done = run_check(tmp_path=tmp_path, WICKTURN_HOSTS="*")
    assert "wickturn.W002" in done.stderr
    assert "wickturn.W003" in done.stderr
    assert "wickturn.W001" not in done.stderr


def test_a_key_kept_beside_the_book_does(tmp_path):
    (tmp_path / "secret_key").write_text(KEY)
    assert run_check("--deploy", "--fail-level", "DEBUG", tmp_path=tmp_path).returncode == 0


def test_a_misspelt_flag_stops_the_start(tmp_path):
    done = run_check(tmp_path=tmp_path, WICKTURN_PLAIN_HTTP="maybe")
    assert done.returncode != 0
    assert "WICKTURN_PLAIN_HTTP must be 1 or 0, not 'maybe'" in done.stderr


def ids(found):
    return [issue.id for issue in found]


def test_checks_answer_to_their_settings(settings):
    settings.PLAIN_HTTP, settings.KEPT_KEY, settings.ALLOWED_HOSTS = True, None, ["*"]
    assert ids(checks.check_plain_http(None)) == ["wickturn.W001"]
    assert ids(checks.check_secret_key(None)) == ["wickturn.W002"]
    assert ids(checks.check_hosts(None)) == ["wickturn.W003"]
    settings.PLAIN_HTTP, settings.KEPT_KEY, settings.ALLOWED_HOSTS = False, KEY, ["localhost"]
    for check in (checks.check_plain_http, checks.check_secret_key, checks.check_hosts):
        assert check(None) == []


SQLITE = {"ENGINE": "django.db.backends.sqlite3", "NAME": "book.sqlite3"}
RIGHT = {
    "transaction_mode": "IMMEDIATE",
    "init_command": "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON;",
}


@pytest.mark.parametrize(
    ("options", "missing"),
    [
        (RIGHT, None),
        ({**RIGHT, "transaction_mode": "DEFERRED"}, "transaction_mode=IMMEDIATE"),
        ({**RIGHT, "init_command": RIGHT["init_command"].replace("FULL", "NORMAL")}, "synchronous=FULL"),
        ({**RIGHT, "init_command": ""}, "journal_mode=WAL, synchronous=FULL, foreign_keys=ON"),
        ({}, "journal_mode=WAL, synchronous=FULL, foreign_keys=ON, transaction_mode=IMMEDIATE"),
    ],
)
def test_sqlite_settings_keep_what_was_confirmed(monkeypatch, options, missing):
    monkeypatch.setattr(settings, "DATABASES", {"default": {**SQLITE, "OPTIONS": options}})
    found = checks.check_sqlite_settings(None)
    assert ids(found) == (["wickturn.E004"] if missing else [])
    assert not missing or f"without {missing}:" in found[0].msg


def test_postgresql_settings_are_not_its_business(monkeypatch):
    monkeypatch.setattr(settings, "DATABASES", {"default": {"ENGINE": "django.db.backends.postgresql"}})
    assert checks.check_sqlite_settings(None) == []


@pytest.mark.sqlite
@pytest.mark.django_db(transaction=True)
def test_the_open_connection_keeps_it():
    assert checks.check_sqlite_connection(None, databases=["default"]) == []
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA synchronous=OFF")
    try:
        assert ids(checks.check_sqlite_connection(None, databases=["default"])) == ["wickturn.E005"]
        assert checks.wrong_pragmas(connections["default"]) == ["synchronous 0"]
    finally:
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA synchronous=FULL")


@pytest.mark.postgresql
@pytest.mark.django_db
def test_a_postgresql_that_forgets_is_told():
    # The tests' own cluster is such a one; only one of the two can be set for a connection alone.
    [found] = checks.check_postgresql_connection(None, databases=["default"])
    assert (found.id, "without fsync and synchronous_commit:" in found.msg) == ("wickturn.W013", True)
    with connection.cursor() as cursor:
        cursor.execute("SET LOCAL synchronous_commit = on")
    [found] = checks.check_postgresql_connection(None, databases=["default"])
    assert "without fsync:" in found.msg


def test_no_database_is_asked_where_none_is_named():
    assert checks.check_sqlite_connection(None, databases=None) == []
    assert checks.check_postgresql_connection(None, databases=None) == []
