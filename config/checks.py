"""Numbered checks of the settings, said by every manage.py command (README, "Settings", tells how to answer them).

wickturn.W001  plain HTTP: what the workshop gives up
wickturn.W002  no kept secret key
wickturn.W003  answers to any host name
wickturn.E004  SQLite not set up to keep what was confirmed
wickturn.E005  the SQLite connection itself does not keep it
wickturn.W006  the mail server's password travels unencrypted
wickturn.W007  the demo sends no mail, whatever server is named
wickturn.W013  PostgreSQL set up to forget what was confirmed when the power fails

Those of what must stay secret, W008 to W012, are in config/secret_checks.py.
"""

from django.conf import settings
from django.core import checks
from django.db import connections

GIVES_UP = (
    "Wickturn runs on plain HTTP (WICKTURN_PLAIN_HTTP=1). On this network that gives up: passwords, PINs and the "
    "sign-in cookie travel readable for anybody on the network; a page can be changed on its way; browsers are not "
    "told to insist on TLS (no HSTS, no redirect, cookies not marked secure)."
)
FULL = 2  # PRAGMA synchronous, SQLite documentation: 0 OFF, 1 NORMAL, 2 FULL, 3 EXTRA
FORGETFUL = "wickturn.W013"
PROMISES = ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON")


@checks.register(checks.Tags.security)
def check_plain_http(app_configs, **kwargs):
    if not settings.PLAIN_HTTP:
        return []
    hint = "Only for a workshop's own network. Put TLS before it and leave the setting out to have all of it back."
    return [checks.Warning(GIVES_UP, hint=hint, id="wickturn.W001")]


@checks.register(checks.Tags.security)
def check_secret_key(app_configs, **kwargs):
    if settings.KEPT_KEY:
        return []
    return [
        checks.Warning(
            "No secret key is kept: this start made one up, and the next start signs everybody out.",
            hint="Set WICKTURN_SECRET_KEY, or let `serve` write one beside the book.",
            id="wickturn.W002",
        )
    ]


@checks.register(checks.Tags.security)
def check_hosts(app_configs, **kwargs):
    if "*" not in settings.ALLOWED_HOSTS:
        return []
    return [
        checks.Warning(
            "WICKTURN_HOSTS=* answers to any host name, so a link in somebody's mail can carry a stranger's address.",
            hint="Name the host names and addresses this book is reached by, with commas between them.",
            id="wickturn.W003",
        )
    ]


@checks.register(checks.Tags.security)
def check_mail_server(app_configs, **kwargs):
    named = settings.NAMED_MAIL_SERVER
    if named is None:
        return []
    found = []
    own = named["EMAIL_HOST"] in ("localhost", "127.0.0.1", "::1")
    if named["EMAIL_HOST_PASSWORD"] and not (own or named["EMAIL_USE_TLS"] or named["EMAIL_USE_SSL"]):
        found.append(
            checks.Warning(
                "WICKTURN_SMTP_URL sends a password unencrypted: anybody on the way can read it, and the letters.",
                hint="Name the server as smtp://... (STARTTLS) or smtps://... (TLS).",
                id="wickturn.W006",
            )
        )
    if settings.IS_DEMO:
        found.append(
            checks.Warning(
                "The demo sends no mail: WICKTURN_SMTP_URL is not used, letters go into the folder post.",
                hint="Leave the setting out for the demo; its shops are invented.",
                id="wickturn.W007",
            )
        )
    return found


@checks.register(checks.Tags.compatibility)
def check_sqlite_settings(app_configs, **kwargs):
    database = settings.DATABASES["default"]
    if "sqlite" not in database["ENGINE"]:
        return []
    options = database.get("OPTIONS", {})
    asked = options.get("init_command", "").replace(" ", "")
    missing = [promise for promise in PROMISES if promise not in asked]
    if options.get("transaction_mode") != "IMMEDIATE":
        missing.append("transaction_mode=IMMEDIATE")
    if not missing:
        return []
    return [
        checks.Error(
            f"SQLite is opened without {', '.join(missing)}: a power cut or two people at once could lose what was "
            "confirmed.",
            hint="Leave DATABASES in config/settings.py as it was.",
            id="wickturn.E004",
        )
    ]


@checks.register(checks.Tags.database)
def check_sqlite_connection(app_configs, databases=None, **kwargs):
    """Asks the connections themselves, where a command opens them anyway (migrate, serve)."""
    errors = []
    for alias in databases or ():
        connection = connections[alias]
        if connection.vendor != "sqlite":
            continue
        if wrong := wrong_pragmas(connection):
            errors.append(
                checks.Error(f"The database {alias!r} has {', '.join(wrong)}.", hint=_HINT, id="wickturn.E005")
            )
    return errors


@checks.register(checks.Tags.database)
def check_postgresql_connection(app_configs, databases=None, **kwargs):
    """As above: without these two a commit is answered before it is on the disk (PostgreSQL documentation, 30.1)."""
    found = []
    for alias in databases or ():
        connection = connections[alias]
        if connection.vendor != "postgresql":
            continue
        with connection.cursor() as cursor:
            cursor.execute("SELECT current_setting('fsync'), current_setting('synchronous_commit')")
            told = dict(zip(("fsync", "synchronous_commit"), cursor.fetchone(), strict=True))
        if off := [name for name, value in told.items() if value == "off"]:
            message = f"PostgreSQL runs without {' and '.join(off)}: a power cut could lose what was confirmed."
            hint = "Set them on in postgresql.conf; only a book that may be lost can do without."
            found.append(checks.Warning(message, hint=hint, id=FORGETFUL))
    return found


_HINT = "A folder on a network share or in a synchronised cloud folder cannot hold the book: keep it on a local disk."


def wrong_pragmas(connection) -> list[str]:
    """The pragmas of an open SQLite connection that differ from the promise, as "name value"."""
    told = {}
    with connection.cursor() as cursor:
        for name in ("journal_mode", "synchronous", "foreign_keys"):
            cursor.execute(f"PRAGMA {name}")
            told[name] = cursor.fetchone()[0]
    # A database in memory keeps no journal at all; only tests use one.
    right = {"journal_mode": ("wal", "memory"), "synchronous": (FULL, FULL + 1), "foreign_keys": (1,)}
    return [f"{name} {value}" for name, value in told.items() if value not in right[name]]
