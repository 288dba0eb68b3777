"""Numbered checks of what must stay secret, beside those of config/checks.py.

wickturn.W008  the secret key can be guessed
wickturn.W009  others on this machine can read the book or its key
wickturn.W010  the database's password and rows travel unencrypted
wickturn.E011  DEBUG shows everybody the inside
wickturn.W012  the keys in letters' links travel unencrypted
"""

import os
import stat
from pathlib import Path
from urllib.parse import urlsplit

from django.conf import settings
from django.core import checks

# As Django's own check of deployments has it: 50 letters, 5 of them different.
LONG_ENOUGH, DIFFERENT_ENOUGH = 50, 5
# libpq: "prefer", the default, goes on without TLS where the server has none.
ENCRYPTED = ("require", "verify-ca", "verify-full")
OWN = ("", "localhost", "127.0.0.1", "::1")


@checks.register(checks.Tags.security)
def check_key_strength(app_configs, **kwargs):
    key = settings.KEPT_KEY
    if not key or (len(key) >= LONG_ENOUGH and len(set(key)) >= DIFFERENT_ENOUGH):
        return []
    return [
        checks.Warning(
            f"The secret key is short or plain: whoever guesses it signs in as anybody and opens every shop's link. "
            f"It has {len(key)} characters, {len(set(key))} of them different.",
            hint="Leave WICKTURN_SECRET_KEY out and let `serve` write one, or make one of 50 random characters.",
            id="wickturn.W008",
        )
    ]


@checks.register(checks.Tags.security)
def check_who_can_read(app_configs, **kwargs):
    if os.name != "posix" or not _is_open(settings.DATA_DIR, stat.S_IXGRP | stat.S_IXOTH):
        return []
    names = ("secret_key", settings.OWN_BOOK.name)
    open_ones = [name for name in names if _is_open(settings.DATA_DIR / name, stat.S_IRGRP | stat.S_IROTH)]
    if not open_ones:
        return []
    return [
        checks.Warning(
            f"Others who have an account on this machine can read {' and '.join(open_ones)} in {settings.DATA_DIR}.",
            hint=f"chmod 700 {settings.DATA_DIR}",
            id="wickturn.W009",
        )
    ]


@checks.register(checks.Tags.security)
def check_way_to_database(app_configs, **kwargs):
    database = settings.DATABASES["default"]
    # A host that begins with a slash is a folder with a socket in it.
    host = database.get("HOST", "")
    if "postgresql" not in database["ENGINE"] or host in OWN or host.startswith("/"):
        return []
    if database.get("OPTIONS", {}).get("sslmode") in ENCRYPTED:
        return []
    return [
        checks.Warning(
            "DATABASE_URL may be spoken to without TLS: the database's password and every row of the book can be read "
            "on the way.",
            hint="End it in ?sslmode=verify-full (with the server's certificate), at the least in ?sslmode=require.",
            id="wickturn.W010",
        )
    ]


@checks.register(checks.Tags.security)
def check_debug(app_configs, **kwargs):
    if not settings.DEBUG:
        return []
    return [
        checks.Error(
            "DEBUG is on: every error page shows a stranger the settings and what is in the book.",
            hint="Leave DEBUG in config/settings.py as it was.",
            id="wickturn.E011",
        )
    ]


@checks.register(checks.Tags.security)
def check_public_address(app_configs, **kwargs):
    parts = urlsplit(settings.PUBLIC_ADDRESS)
    if parts.scheme != "http" or parts.hostname in OWN:
        return []
    return [
        checks.Warning(
            "WICKTURN_PUBLIC_ADDRESS is without TLS: a shop's link is a key, and anybody on the way can read it.",
            hint="Name an address that begins with https://.",
            id="wickturn.W012",
        )
    ]


def _is_open(path: Path, bits: int) -> bool:
    try:
        return bool(path.stat().st_mode & bits)
    except OSError:
        return False
