"""Starts a book: its folder, key and tables, who may reach it and how, and the server that answers."""

import ipaddress
import os
import secrets
import socket
import subprocess
import sys
import time
from contextlib import nullcontext
from http.client import HTTPConnection, HTTPException
from importlib.util import find_spec
from pathlib import Path

from django.conf import settings
from django.core import checks
from django.core.management import CommandError, call_command
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.utils import timezone

from config.bootstrap import ROOT, stop_together, wait_for
from config.checks import FORGETFUL, GIVES_UP
from config.env import env_bool
from config.telling import busy, complain, say
from config.whole_copy.before_upgrade import NoCopy, copy_before_upgrade
from config.whole_copy.laid_out import NewerBook, refuse_newer_book
from config.whole_copy.restoring import is_filled
from config.whole_copy.rows import DamagedCopy
from config.worker import keep_worker

PORT, PORTS_TRIED = 8000, 20
STARTS_WITHIN_SECONDS = 60
WORKERS, MOST_WORKERS, THREADS = 2, 64, 4
EVERYWHERE = ("0.0.0.0", "::")  # noqa: S104 - compared with, never listened on unasked
HOW_TO_LEAVE_LOOPBACK = """\
{host} can be reached from outside this machine, and nothing says how the way there is kept private. Either
  put a web server with a certificate in front, set WICKTURN_BEHIND_PROXY=1 and WICKTURN_HOSTS=its.name, or
  set WICKTURN_PLAIN_HTTP=1 for a network that you trust wholly; every start then says what that gives up."""


def prepare_book() -> None:
    """Folder, kept key and tables of the database the settings name; of a book that is older, a copy first.
    CommandError when it does not answer, is a newer Wickturn's, or cannot be copied.
    """
    settings.DATA_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)
    if not os.environ.get("WICKTURN_SECRET_KEY"):
        keep_key(settings.DATA_DIR / "secret_key")
    try:
        refuse_newer_book()
        executor = MigrationExecutor(connection)
        if executor.migration_plan(executor.loader.graph.leaf_nodes()):
            bring_up_to_date()
        refuse_bad_settings()
    except (NewerBook, NoCopy, DamagedCopy) as refused:
        raise CommandError(str(refused)) from None
    except DatabaseError as failed:
        raise CommandError(f"The database does not answer as it should: {str(failed).strip()}") from failed
    finally:
        # The server is another process and opens its own.
        connection.close()


def bring_up_to_date() -> None:
    """The tables as this Wickturn wants them. A book with anything in it is copied first; the demo's is nobody's."""
    if not settings.IS_DEMO and is_filled():
        with busy("Copying the book before it is brought up to date"):
            file = copy_before_upgrade(timezone.localtime())
        say(f"The book as it was is kept in {file}")
    with busy("Laying the book out"):
        call_command("migrate", verbosity=0, interactive=False)


def refuse_bad_settings() -> None:
    """CommandError with every error the system checks find. Of what they warn of, the database's own is said here: no
    other command asks it.
    """
    found = checks.run_checks(databases=["default"])
    if errors := [each for each in found if each.is_serious()]:
        raise CommandError("\n".join(map(str, errors)))
    for each in found:
        if each.id == FORGETFUL:
            complain(each.msg)


def keep_key(file: Path) -> None:
    """Write a new secret key for nobody else to read, unless there is one. Without it a restart signs all out."""
    if file.exists() and file.read_text().strip():
        return
    draft = file.with_name(f"{file.name}.{os.getpid()}")
    with os.fdopen(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "w") as key:
        key.write(secrets.token_urlsafe(50) + "\n")
    # Whole or not at all: a half-written key would be taken for one.
    draft.replace(file)


def is_loopback(host: str) -> bool:
    """Whether an address or name to listen on is this machine's own and nobody else's."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def settings_for(host: str) -> dict[str, str]:
    """The environment the server needs to listen on `host`. CommandError where the way there would be open to all."""
    behind_proxy = env_bool("WICKTURN_BEHIND_PROXY")
    if behind_proxy:
        if not os.environ.get("WICKTURN_HOSTS"):
            raise CommandError("Behind a proxy the book must know its name: set WICKTURN_HOSTS, e.g. to book.example")
        return {}
    if is_loopback(host):
        # Nothing leaves the machine, so there is nothing for TLS to keep.
        return {"WICKTURN_PLAIN_HTTP": os.environ.get("WICKTURN_PLAIN_HTTP", "1")}
    if not env_bool("WICKTURN_PLAIN_HTTP"):
        raise CommandError(HOW_TO_LEAVE_LOOPBACK.format(host=host))
    return {"WICKTURN_HOSTS": os.environ.get("WICKTURN_HOSTS") or ",".join(names_of(host))}


def given_up_on(host: str) -> str:
    """What listening on `host` as the environment says gives up; nothing on loopback or behind TLS."""
    return "" if is_loopback(host) or env_bool("WICKTURN_BEHIND_PROXY") else GIVES_UP


def names_of(host: str) -> list[str]:
    """The names under which a tablet would ask for a book that listens on `host`."""
    names = ["localhost", "127.0.0.1", "[::1]"]
    if host not in EVERYWHERE:
        return [*names, f"[{host}]" if ":" in host else host]
    own = socket.gethostname().lower()
    return [*names, own, f"{own}.local", *own_addresses()]


def own_addresses() -> list[str]:
    """This machine's address on its network; none where it has no network."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # Names a route and sends nothing. The address is reserved for documentation (RFC 5737).
            probe.connect(("192.0.2.1", 9))
            return [probe.getsockname()[0]]
        except OSError:
            return []


def choose_port(host: str, wanted: int | None) -> int:
    """The port asked for, or the first free one from 8000. CommandError when it can't be had."""
    if wanted is not None:
        if reason := why_not(host, wanted):
            raise CommandError(f"Port {wanted} on {host} can't be used: {reason}. Choose another with --port.")
        return wanted
    for port in range(PORT, PORT + PORTS_TRIED):
        if not why_not(host, port):
            return port
    raise CommandError(f"Ports {PORT} to {PORT + PORTS_TRIED - 1} on {host} are all taken. Choose one with --port.")


def why_not(host: str, port: int) -> str:
    """Why nobody can listen there; empty where one can."""
    if not 0 < port < 65536:
        return "ports run from 1 to 65535"
    try:
        with socket.socket(socket.AF_INET6 if ":" in host else socket.AF_INET) as probe:
            if os.name == "posix":
                # As the servers do; on Windows the same flag would share a port that is taken.
                probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            probe.bind((host, port))
        return ""
    except OSError as failed:
        return (failed.strerror or str(failed)).lower()


def server_command(host: str, port: int, workers: int = WORKERS) -> list[str]:
    """gunicorn with so many processes, or waitress where that can't run (Windows)."""
    address = f"[{host}]:{port}" if ":" in host else f"{host}:{port}"
    if find_spec("gunicorn"):
        return [
            sys.executable, "-m", "gunicorn", "config.wsgi", "--bind", address, "--workers", str(workers),
            "--threads", str(THREADS), "--log-level", "warning", "--graceful-timeout", "10", "--no-control-socket",
            # Loaded once and forked: half the memory, and a process that was killed is back at once.
            "--preload", "--config", "python:config.beside",
        ]  # fmt: skip
    # waitress drops a proxy's headers unless told; the settings decide whether they are believed.
    return [
        sys.executable, "-m", "waitress", f"--listen={address}", f"--threads={WORKERS * THREADS}",
        "--no-clear-untrusted-proxy-headers", "config.wsgi:application",
    ]  # fmt: skip


def serve(
    host: str, port: int, environment: dict[str, str], lines: list[str], *, workers: int = WORKERS, tasks: bool = True
) -> None:
    """Run the server, and (`tasks`) a worker beside it, until it is stopped; says `lines` once it answers.
    CommandError if it ends by itself.
    """
    environment = {**os.environ, **environment}
    # The server ends when this pipe closes: also where this process is killed and can stop nobody any more.
    process = subprocess.Popen(server_command(host, port, workers), cwd=ROOT, env=environment, stdin=subprocess.PIPE)
    stop_together(process)
    try:
        with busy("Opening the book"):
            wait_until_it_answers(process, "127.0.0.1" if host in EVERYWHERE else host, port)
        with keep_worker(environment) if tasks else nullcontext():
            for line in lines:
                say(line)
            code = wait_for(process)
    except KeyboardInterrupt:
        # Stopped before it was up; the server got the same Ctrl-C.
        code = wait_for(process)
    finally:
        if process.poll() is None:
            process.terminate()
            process.wait()
        process.stdin.close()
    if code not in (0, 130, 143):
        raise CommandError(f"The server ended with code {code}.")
    say("Stopped.")


def wait_until_it_answers(process: subprocess.Popen, host: str, port: int) -> None:
    """Until the first page comes back, whichever. CommandError when the process ends first or takes over a minute."""
    until = time.monotonic() + STARTS_WITHIN_SECONDS
    while time.monotonic() < until:
        if process.poll() is not None:
            raise CommandError(f"The server ended with code {process.returncode} before it answered.")
        # A listening socket is not enough: it is there before the pages are.
        asking = HTTPConnection(host, port, timeout=max(1, until - time.monotonic()))
        try:
            asking.request("HEAD", "/")
            asking.getresponse()
            return
        except (OSError, HTTPException):
            time.sleep(0.05)
        finally:
            asking.close()
    raise CommandError(f"The server did not answer within {STARTS_WITHIN_SECONDS} s.")


def address_of(host: str, port: int) -> str:
    """What to type into a browser: on this machine, and where the whole network may come, on another one."""
    shown = ["127.0.0.1", *own_addresses()] if host in EVERYWHERE else [f"[{host}]" if ":" in host else host]
    return " and ".join(f"http://{name}:{port}/" for name in shown)
