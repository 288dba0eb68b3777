from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import connection, transaction

from config.models import Person
from config.serving import address_of, choose_port, prepare_book, serve
from config.telling import say, steps

HOST = "127.0.0.1"  # the passwords are printed, so nobody else may come


class Command(BaseCommand):
    # prepare_book runs them once there is a database; their warning about TLS would be untrue on loopback.
    requires_system_checks = []
    help = "Load the demo workshop into a book of its own and serve it on this machine."

    def add_arguments(self, parser):
        parser.add_argument("--no-serve", action="store_true", help="load it and stop there")
        parser.add_argument("--port", type=int, help="the port to answer at (default: the first free one from 8000)")

    def handle(self, **options):
        if not settings.IS_DEMO:
            raise CommandError("The demo keeps its own book: start it as python3 manage.py demo")
        port = None if options["no_serve"] else choose_port(HOST, options["port"])
        prepare_book()
        if not Person.objects.filter(is_demo=True).exists():
            load()
        lines = [*accounts(), ""]
        # The server is another process and opens its own.
        connection.close()
        if options["no_serve"]:
            for line in ["The demo workshop is loaded.", *lines, "Serve it with: python3 manage.py demo"]:
                say(line)
            return
        answers = f"The demo workshop is open at {address_of(HOST, port)}"
        own = {"WICKTURN_PUBLIC_ADDRESS": address_of(HOST, port)}
        serve(HOST, port, own, ["", answers, *lines, "Ctrl-C stops it."])


def load() -> None:
    from config.demo.load import load_demo  # noqa: PLC0415 - a served book has no use for it

    # All or nothing: a demo broken off half-way would look loaded.
    with steps() as step, transaction.atomic():
        load_demo(step)


def accounts() -> list[str]:
    from config.demo.load import ACCOUNTS  # noqa: PLC0415 - as above

    return ["Sign in as", *("    " + "  ".join(f"{part:12}" for part in account).rstrip() for account in ACCOUNTS)]
