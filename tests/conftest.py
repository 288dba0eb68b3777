"""The tests' house: which database, which tests, and the fixtures every folder uses."""

import os
import shutil
import subprocess
import sys
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path

import hypothesis
import pytest

from config.machine import Missing
from config.migrated import copy_migrated, make_migrated_file
from config.testing import SUMMARY_FILE
from config.throwaway_postgres import Cluster

ROOT = Path(__file__).resolve().parent.parent
STARTED = time.monotonic()
APPS = ("config", "inventory", "production", "orders")
IS_WORKER = "PYTEST_XDIST_WORKER" in os.environ
MARKS = {
    # Marker: why a run leaves such tests out, given the chosen database.
    "browser": lambda config: config.getoption("database") != "sqlite",
    "sqlite": lambda config: config.getoption("database") != "sqlite",
    "postgresql": lambda config: config.getoption("database") != "postgresql",
    "long": lambda config: not config.getoption("long"),
}

if not IS_WORKER:
    if "django.conf" in sys.modules:
        raise pytest.UsageError("Unset DJANGO_SETTINGS_MODULE: the tests choose their settings themselves.")
    # Set before Django reads them, and inherited by the xdist workers and every subprocess. pyproject.toml names no
    # settings module, because pytest-django would load it before this file.
    os.environ.update(
        DJANGO_SETTINGS_MODULE="config.settings",
        WICKTURN_DATA=tempfile.mkdtemp(prefix="wickturn-tests-"),
        WICKTURN_DEMO="0",
        WICKTURN_PLAIN_HTTP="1",
        WICKTURN_SECRET_KEY="for-the-tests-only-0123456789-abcdefghijklmnopqrstuvwxyz",
    )
    # Never somebody's own database.
    os.environ.pop("DATABASE_URL", None)


def pytest_addoption(parser):
    group = parser.getgroup("wickturn")
    group.addoption(
        "--database",
        choices=("sqlite", "postgresql"),
        default=os.environ.get("WICKTURN_TEST_DATABASE", "sqlite"),
        help="where the tests keep their rows; postgresql starts a throwaway server",
    )
    group.addoption("--history-seed", type=int, default=7, help="the number tests/histories makes its histories from")
    group.addoption("--long", action="store_true", help="run the tests marked long too")


def pytest_configure(config):
    # One cluster for all workers: the controller starts it, they inherit its address.
    if config.getoption("database") == "postgresql" and not IS_WORKER and not config.option.collectonly:
        try:
            config.wickturn_cluster = Cluster()
            os.environ["DATABASE_URL"] = config.wickturn_cluster.start()
        except Missing as missing:
            raise pytest.UsageError(str(missing)) from None
    import django

    django.setup()
    if config.getoption("database") == "sqlite" and not IS_WORKER and not config.option.collectonly:
        make_migrated_file()
    # The same cases each run, and no clock that fails a test on a busy machine.
    hypothesis.settings.register_profile(
        "house", deadline=None, derandomize=True, suppress_health_check=[hypothesis.HealthCheck.too_slow]
    )
    hypothesis.settings.load_profile("house")


def pytest_unconfigure(config):
    if cluster := getattr(config, "wickturn_cluster", None):
        cluster.stop()
    if not IS_WORKER:
        shutil.rmtree(os.environ["WICKTURN_DATA"], ignore_errors=True)


def pytest_collection_modifyitems(config, items):
    away = [
        item
        for item in items
        if any(item.get_closest_marker(name) and out(config) for name, out in MARKS.items())
        # What asks no database would give the same answer twice.
        or (config.getoption("database") == "postgresql" and not asks_database(item))
        or (config.getoption("database") == "postgresql" and repeats_pages(item, config))
    ]
    if away:
        config.hook.pytest_deselected(items=away)
        items[:] = [item for item in items if item not in set(away)]


def repeats_pages(item, config) -> bool:
    """A noun's page, asked by a client: what it calls runs on PostgreSQL in the domain's tests, every page is opened
    there by test_every_page.py, and forms are posted there by the fuzz. With --long these tests run there, too."""
    noun = item.path.relative_to(ROOT / "tests").parts[0] in APPS
    return noun and bool({"client", "client_for"} & set(item.fixturenames)) and not config.getoption("long")


def asks_database(item) -> bool:
    return item.get_closest_marker("django_db") is not None or bool(
        {"db", "transactional_db"} & set(item.fixturenames)
    )


def pytest_terminal_summary(terminalreporter):
    reports = [*terminalreporter.stats.get("passed", ()), *terminalreporter.stats.get("failed", ())]
    if any("/histories/" in report.nodeid for report in reports):
        terminalreporter.write_line(
            f"histories made from --history-seed {terminalreporter.config.getoption('history_seed')}"
        )
    # manage.py test shows the lines of both its runs together at the end.
    if file := os.environ.get(SUMMARY_FILE):
        took = time.monotonic() - STARTED
        counts = ", ".join(text for text, _ in terminalreporter.build_summary_stats_line()[0])
        Path(file).write_text(f"{counts} in {took:.0f} s", encoding="utf-8")


@pytest.fixture(scope="session")
def django_db_modify_db_settings(django_db_modify_db_settings_parallel_suffix):
    """SQLite tests use a file, not memory: threads and the live server get connections of their own, as in service."""
    from django.conf import settings

    database = settings.DATABASES["default"]
    if "sqlite" in database["ENGINE"]:
        worker = os.environ.get("PYTEST_XDIST_WORKER", "only")
        path = Path(settings.DATA_DIR) / f"test-{worker}.sqlite3"
        database.setdefault("TEST", {})["NAME"] = str(path)
        copy_migrated(path)


@pytest.fixture(scope="session")
def django_db_keepdb(request):
    """The copy is taken as it stands, and goes with the run's folder."""
    return request.config.getoption("database") == "sqlite"


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup, django_db_blocker):
    from tests.flush import keep_house_over_flush

    with django_db_blocker.unblock():
        keep_house_over_flush()


@pytest.fixture
def client_for(db):
    """`client_for("packer")`: a test client signed in as a new person with these roles (owner when none is named).

    `client_for(person=somebody)` signs an existing person in. The client knows its `person`.
    """
    from django.conf import settings
    from django.test import Client

    from tests.factories import make_person

    def sign_in(*roles, person=None, **client_options):
        client = Client(**client_options)
        client.person = person or make_person(*roles)
        # The last one looks people up; those before it only refuse.
        client.force_login(client.person, backend=settings.AUTHENTICATION_BACKENDS[-1])
        return client

    return sign_in


@dataclass(frozen=True)
class FileDatabase:
    """A migrated SQLite file of its own, and the environment in which a subprocess works on it."""

    path: Path
    env: dict[str, str]

    def run(self, *arguments: str, **options) -> subprocess.Popen:
        """Start Python on this database; `arguments` as for python, e.g. "-c", "..." or "manage.py", "audit"."""
        return subprocess.Popen(
            [sys.executable, *arguments],
            env=self.env,
            cwd=ROOT,
            text=True,
            **{"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, **options},
        )


@pytest.fixture
def file_sqlite(tmp_path) -> FileDatabase:
    """A fresh copy, for races between real processes. The test itself reaches it through `run` or sqlite3."""
    path = tmp_path / "book.sqlite3"
    copy_migrated(path)
    return FileDatabase(path, {**os.environ, "DATABASE_URL": f"sqlite:///{path}"})
