"""The log: one line an event, and nothing in it that a person typed or is known by."""

import logging
import re

import pytest
from django.core.exceptions import ImproperlyConfigured
from django.db import IntegrityError
from django.urls import path
from gunicorn.config import Config

from config.beside import HouseLogger
from config.env import env_choice
from config.logs import OneLine, logging_at
from tests.factories.house import PASSWORD

SECRET = "della@harbour.example"
LINE = re.compile(r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d{4} [A-Z]+ [\w.]+: .+$")


def broken(request, token):
    raise IntegrityError(f"Key (email)=({SECRET}) exists\nDETAIL: {token}") from KeyError(SECRET)


broken.login_required = False
urlpatterns = [path("own/<str:token>/", broken, name="own_view")]


@pytest.fixture
def lines():
    """What the handler would write while the test runs, as it would write it."""
    written, handler = [], logging.Handler(logging.INFO)
    formatter = OneLine()
    handler.emit = lambda record: written.append(formatter.format(record))
    logging.getLogger().addHandler(handler)
    yield written
    logging.getLogger().removeHandler(handler)


@pytest.mark.urls(__name__)
def test_a_fault_is_one_line_that_names_its_kind_and_place_and_no_data(client, lines):
    client.raise_request_exception = False
    assert client.get(f"/own/a-signed-key/?q={SECRET}").status_code == 500
    [line] = [line for line in lines if "django.request" in line]
    assert LINE.match(line)
    assert line.count("\n") == 0
    assert "ERROR django.request: 500 GET /own/<str:token>/; IntegrityError from KeyError at " in line
    assert "tests/config/test_logs.py" in line
    assert SECRET not in line
    assert "a-signed-key" not in line


@pytest.mark.django_db
def test_who_failed_to_sign_in_is_not_in_the_log(client, lines):
    for _ in range(6):
        client.post("/sign-in/", {"username": "della", "password": PASSWORD})
    assert any("Locking out" in line for line in lines)
    assert all(LINE.match(line) for line in lines)
    assert not [line for line in lines if re.search(rf"della|{PASSWORD}|127\.0\.0\.1", line)]


def test_a_newline_makes_no_second_event(lines):
    logging.getLogger("orders.somewhere").error("one\n2026-11-29T00:00:00+0000 ERROR two")
    assert lines[-1].endswith(r"orders.somewhere: one\n2026-11-29T00:00:00+0000 ERROR two")


def server_said(message: str, *arguments, error: Exception | None = None) -> str:
    """As gunicorn's own logger writes it where `serve` starts the server."""
    record = logging.makeLogRecord({"name": "gunicorn.error", "levelname": "ERROR", "msg": message, "args": arguments})
    record.exc_info = error and (type(error), error, None)
    logger = HouseLogger(Config())
    [handler] = logger.error_log.handlers
    return handler.format(record)


def test_the_servers_own_lines_tell_neither_address_nor_visitor():
    asked = server_said("Error handling request %s %s", "GET", f"/shops/?q={SECRET}", error=KeyError(SECRET))
    assert asked.endswith("ERROR gunicorn.error: Error handling request; KeyError")
    assert server_said(f"Invalid request from ip=192.0.2.7: '{SECRET}'").endswith("gunicorn.error: Invalid request")
    assert server_said("Worker (pid:%s) was sent %s!", 7, "SIGKILL").endswith("Worker (pid:7) was sent SIGKILL!")


def test_refused_forms_are_told_from_info_on():
    assert logging_at("WARNING")["loggers"]["django.request"]["level"] == "ERROR"
    assert logging_at("INFO")["loggers"]["django.request"]["level"] == "INFO"


def test_a_level_that_is_none_stops_the_start(monkeypatch):
    monkeypatch.setenv("WICKTURN_LOG_LEVEL", "Info")
    assert env_choice("WICKTURN_LOG_LEVEL", ("info", "error"), "error") == "info"
    monkeypatch.setenv("WICKTURN_LOG_LEVEL", "loud")
    with pytest.raises(ImproperlyConfigured, match="info, error"):
        env_choice("WICKTURN_LOG_LEVEL", ("info", "error"), "error")
