import getpass
import os
import sys

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.db import connection

from config.domain.first_owner import add_first_owner, has_owner
from config.serving import (
    MOST_WORKERS,
    WORKERS,
    address_of,
    choose_port,
    given_up_on,
    prepare_book,
    serve,
    settings_for,
)
from config.telling import complain, say

NAME, PASSWORD = "WICKTURN_OWNER_NAME", "WICKTURN_OWNER_PASSWORD"
NOBODY_TO_ASK = (
    f"The book needs its first owner, and there is no terminal to ask at: set {NAME} and {PASSWORD}, "
    "and start again. Take the password out of the environment afterwards."
)


class Command(BaseCommand):
    # prepare_book runs them once there is a database; a warning about TLS would be untrue on loopback.
    requires_system_checks = []
    help = "Serve your own book. The first start lays it out and asks for the owner."

    def add_arguments(self, parser):
        parser.add_argument(
            "--host", default="127.0.0.1", help="the address to listen on (default: this machine only)"
        )
        parser.add_argument("--port", type=int, help="the port to answer at (default: the first free one from 8000)")
        parser.add_argument(
            "--workers", type=int, default=WORKERS, help="processes that answer (default: %(default)s)"
        )
        parser.add_argument(
            "--no-worker", action="store_true", help="leave plans and copies to a `manage.py worker` elsewhere"
        )

    def handle(self, **options):
        host = options["host"]
        if not 1 <= options["workers"] <= MOST_WORKERS:
            raise CommandError(f"--workers runs from 1 to {MOST_WORKERS}.")
        environment = settings_for(host)
        port = choose_port(host, options["port"])
        prepare_book()
        if not has_owner():
            make_owner()
        connection.close()
        if given_up := given_up_on(host):
            complain(given_up)
        if options["no_worker"]:
            environment["WICKTURN_WORKER_ELSEWHERE"] = "1"
        lines = [f"Your book is open at {address_of(host, port)}", "Ctrl-C stops it."]
        serve(host, port, environment, lines, workers=options["workers"], tasks=not options["no_worker"])


def make_owner() -> None:
    """The first owner, from the environment or the terminal. CommandError where neither can say."""
    if os.environ.get(NAME) or os.environ.get(PASSWORD):
        name, password = os.environ.get(NAME, ""), os.environ.get(PASSWORD, "")
        try:
            person = add_first_owner(username=name, full_name=name.strip().title(), password=password)
        except ValidationError as refused:
            raise CommandError(f"{NAME} and {PASSWORD} make no owner: {' '.join(refused.messages)}") from None
    elif sys.stdin is not None and sys.stdin.isatty():
        person = ask_owner()
    else:
        raise CommandError(NOBODY_TO_ASK)
    say(f"{person.full_name} is the owner and signs in as {person.username}.")


def ask_owner():
    """Ask until what was typed makes an owner; only what was refused is asked again."""
    say("A new book. Who is its owner?")
    answers = {}
    try:
        while True:
            ask_missing(answers)
            try:
                return add_first_owner(**answers)
            except ValidationError as refused:
                forget(answers, refused)
    except (EOFError, KeyboardInterrupt):
        raise CommandError("No owner was made; the next start asks again.") from None


def forget(answers: dict[str, str], refused: ValidationError) -> None:
    """Say why, and drop the answers it is about."""
    if not hasattr(refused, "error_dict"):
        raise CommandError(" ".join(refused.messages))
    for field, messages in refused.message_dict.items():
        answers.pop(field, None)
        complain("  " + " ".join(messages))


def ask_missing(answers: dict[str, str]) -> None:
    questions = {
        "username": lambda: input("Sign-in name (small letters, digits, dots, dashes): "),
        "full_name": lambda: input("Name, as it stands on the record: "),
        "password": ask_password,
        "pin": lambda: getpass.getpass("PIN for a shared tablet, 4 to 8 digits (Enter for none): "),
    }
    for field, ask in questions.items():
        if field not in answers:
            answers[field] = ask()


def ask_password() -> str:
    while True:
        password = getpass.getpass("Password: ")
        if password == getpass.getpass("Password again: "):
            return password
        complain("  The two are not the same.")
