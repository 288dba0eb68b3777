"""Starting a book: who may reach it and how, its key, and the server itself."""

import os
import socket
import subprocess
import sys
import urllib.error
import urllib.request

import pytest
from django.core.management import CommandError, call_command

from config import serving
from config.checks import GIVES_UP
from config.management.commands.serve import NAME, PASSWORD
from config.migrated import copy_migrated
from tests.conftest import ROOT
from tests.factories import make_person

GOOD = "beeswax-and-wick-7"
ENVIRONMENT = ("WICKTURN_BEHIND_PROXY", "WICKTURN_HOSTS", "WICKTURN_PLAIN_HTTP", NAME, PASSWORD)


@pytest.fixture(autouse=True)
def clean_environment(monkeypatch):
    for name in ENVIRONMENT:
        monkeypatch.delenv(name, raising=False)


# Who may reach it


@pytest.mark.parametrize(
    ("host", "answer"),
    [
        *(("127.0.0.1", True), ("127.8.9.1", True), ("::1", True), ("localhost", True)),
        *(("0.0.0.0", False), ("::", False), ("192.0.2.7", False), ("book.example", False)),
    ],
)
def test_loopback_is_known(host, answer):
    assert serving.is_loopback(host) is answer


def test_one_machine_needs_no_tls(monkeypatch):
    assert serving.settings_for("127.0.0.1") == {"WICKTURN_PLAIN_HTTP": "1"}
    assert serving.given_up_on("127.0.0.1") == ""
    monkeypatch.setenv("WICKTURN_PLAIN_HTTP", "0")
    assert serving.settings_for("127.0.0.1") == {"WICKTURN_PLAIN_HTTP": "0"}, "an explicit wish is kept"


@pytest.mark.parametrize("host", ["0.0.0.0", "192.0.2.7", "book.example"])
def test_network_without_tls_is_refused_unless_named(host, monkeypatch):
    with pytest.raises(CommandError, match="WICKTURN_PLAIN_HTTP=1"):
        serving.settings_for(host)
    monkeypatch.setenv("WICKTURN_PLAIN_HTTP", "1")
    assert serving.settings_for(host)["WICKTURN_HOSTS"]
    assert serving.given_up_on(host) == GIVES_UP


def test_plain_network_gets_the_names_a_tablet_would_ask_for(monkeypatch):
    monkeypatch.setenv("WICKTURN_PLAIN_HTTP", "1")
    assert serving.settings_for("192.0.2.7")["WICKTURN_HOSTS"].split(",")[-1] == "192.0.2.7"
    assert socket.gethostname().lower() in serving.settings_for("0.0.0.0")["WICKTURN_HOSTS"].split(",")
    monkeypatch.setenv("WICKTURN_HOSTS", "book.example")
    assert serving.settings_for("0.0.0.0") == {"WICKTURN_HOSTS": "book.example"}


@pytest.mark.parametrize("host", ["127.0.0.1", "0.0.0.0"])
def test_behind_a_proxy_tls_stays_on_and_the_name_is_asked_for(host, monkeypatch):
    monkeypatch.setenv("WICKTURN_BEHIND_PROXY", "1")
    with pytest.raises(CommandError, match="WICKTURN_HOSTS"):
        serving.settings_for(host)
    monkeypatch.setenv("WICKTURN_HOSTS", "book.example")
    assert "WICKTURN_PLAIN_HTTP" not in serving.settings_for(host)
    assert serving.given_up_on(host) == ""


@pytest.mark.django_db
def test_every_start_on_a_plain_network_says_what_it_gives_up(monkeypatch, capsys):
    make_person("owner")
    started = []
    monkeypatch.setenv("WICKTURN_PLAIN_HTTP", "1")
    monkeypatch.setattr("config.management.commands.serve.prepare_book", lambda: None)
    monkeypatch.setattr("config.management.commands.serve.connection.close", lambda: None)
    monkeypatch.setattr("config.management.commands.serve.serve", lambda *how, **more: started.append(how))
    for _ in range(2):
        call_command("serve", host="0.0.0.0", port=free_port())
        assert GIVES_UP in capsys.readouterr().err
    call_command("serve", port=free_port())
    assert GIVES_UP not in capsys.readouterr().err
    assert [host for host, *_ in started] == ["0.0.0.0", "0.0.0.0", "127.0.0.1"]


@pytest.mark.django_db
def test_a_server_without_a_worker_has_its_pages_say_so(monkeypatch):
    make_person("owner")
    started = []
    monkeypatch.setattr("config.management.commands.serve.prepare_book", lambda: None)
    monkeypatch.setattr("config.management.commands.serve.connection.close", lambda: None)
    monkeypatch.setattr("config.management.commands.serve.serve", lambda *how, **more: started.append((how[2], more)))
    call_command("serve", port=free_port())
    call_command("serve", port=free_port(), no_worker=True, workers=5)
    (with_one, first), (without, second) = started
    assert (first["tasks"], second["tasks"], second["workers"]) == (True, False, 5)
    assert "WICKTURN_WORKER_ELSEWHERE" not in with_one
    assert without["WICKTURN_WORKER_ELSEWHERE"] == "1"
    with pytest.raises(CommandError, match="1 to 64"):
        call_command("serve", port=free_port(), workers=0)


# Where it answers


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


def test_taken_port_is_refused_when_asked_for():
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(CommandError, match=r"can't be used: .*in use"):
            serving.choose_port("127.0.0.1", taken.getsockname()[1])


def test_next_free_port_is_chosen_when_none_is_asked_for(monkeypatch):
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        monkeypatch.setattr(serving, "PORT", taken.getsockname()[1])
        assert serving.choose_port("127.0.0.1", None) > serving.PORT
        monkeypatch.setattr(serving, "PORTS_TRIED", 1)
        with pytest.raises(CommandError, match="all taken"):
            serving.choose_port("127.0.0.1", None)


@pytest.mark.parametrize("port", [0, -1, 65536, 10**9])
def test_port_that_cannot_be_is_refused(port):
    with pytest.raises(CommandError, match="1 to 65535"):
        serving.choose_port("127.0.0.1", port)


def test_address_names_something_a_browser_can_open(monkeypatch):
    monkeypatch.setattr(serving, "own_addresses", lambda: ["192.0.2.7"])
    assert serving.address_of("0.0.0.0", 8000) == "http://127.0.0.1:8000/ and http://192.0.2.7:8000/"
    assert serving.address_of("::1", 8000) == "http://[::1]:8000/"


def test_server_is_waitress_where_gunicorn_cannot_run(monkeypatch):
    assert "gunicorn" in serving.server_command("127.0.0.1", 8000)
    monkeypatch.setattr(serving, "find_spec", lambda name: None)
    command = serving.server_command("::1", 8000)
    assert "waitress" in command
    assert "--listen=[::1]:8000" in command


# The key


def test_key_is_kept_and_nobody_else_reads_it(tmp_path):
    file = tmp_path / "secret_key"
    serving.keep_key(file)
    key = file.read_text()
    assert len(key.strip()) >= 50
    serving.keep_key(file)
    assert file.read_text() == key
    assert [path.name for path in tmp_path.iterdir()] == ["secret_key"]
    if os.name == "posix":
        assert file.stat().st_mode & 0o777 == 0o600


def test_empty_key_is_replaced(tmp_path):
    file = tmp_path / "secret_key"
    file.touch()
    serving.keep_key(file)
    assert file.read_text().strip()


# The server


class StaysPut(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *arguments):
        return None


def get(url: str) -> tuple[int, dict]:
    try:
        answer = urllib.request.build_opener(StaysPut).open(url, timeout=60)
    except urllib.error.HTTPError as other:
        answer = other
    with answer:
        return answer.status, dict(answer.headers)


@pytest.mark.sqlite
def test_served_book_answers_and_stops(tmp_path):
    copy_migrated(tmp_path / "book.sqlite3")
    port = free_port()
    env = {key: value for key, value in os.environ.items() if not key.startswith("WICKTURN")}
    env |= {"WICKTURN_DATA": str(tmp_path), NAME: "mara", PASSWORD: GOOD}
    command = [sys.executable, "manage.py", "serve", "--port", str(port)]
    server = subprocess.Popen(command, cwd=ROOT, env=env, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    with server:
        try:
            said = [server.stdout.readline().strip(".\n ") for _ in range(4)]
            home, headers = get(f"http://127.0.0.1:{port}/")
            style, _ = get(f"http://127.0.0.1:{port}/static/css/base.css")
        finally:
            server.terminate()
        rest, complaints = server.communicate()
    assert said == [
        "Mara is the owner and signs in as mara",
        "Opening the book",
        f"Your book is open at http://127.0.0.1:{port}/",
        "Ctrl-C stops it",
    ], complaints
    assert (home, headers["Location"].split("?")[0], style) == (302, "/sign-in/", 200)
    assert (rest, complaints, server.returncode) == ("Stopped.\n", "", 0)
    assert (tmp_path / "secret_key").exists()
    with pytest.raises(OSError, match="refused"):
        socket.create_connection(("127.0.0.1", port), timeout=1)


@pytest.mark.sqlite
def test_nothing_that_must_not_be_shared_is_open_when_the_server_forks():
    code = "import threading, config.wsgi; from django.db import connections; from django.urls import get_resolver; "
    code += (
        "print(connections['default'].connection, threading.active_count(), 'url_patterns' in vars(get_resolver()))"
    )
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)
    assert done.stdout == "None 1 True\n"


@pytest.mark.sqlite
def test_server_that_cannot_start_is_a_sentence(monkeypatch):
    monkeypatch.setattr(serving, "server_command", lambda *how: [sys.executable, "-c", "raise SystemExit(7)"])
    with pytest.raises(CommandError, match="ended with code 7 before it answered"):
        serving.serve("127.0.0.1", free_port(), {}, [])
