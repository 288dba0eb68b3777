"""Is this server fit to be asked? For a load balancer or whoever watches, not for people: no sign-in, no session."""

import logging
from functools import cache

from django.db import Error, connection
from django.db.migrations.loader import MigrationLoader
from django.db.migrations.recorder import MigrationRecorder
from django.http import HttpResponse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from config.whole_copy.rows import HOUSE

logger = logging.getLogger(__name__)


@never_cache
@require_safe
def health(request):
    """200 where the database answers and is laid out as this program needs it, else 503. A stranger learns no more."""
    wrong = why_unfit()
    if wrong:
        logger.error("Not fit to be asked: %s", wrong)
    return HttpResponse(
        "no\n" if wrong else "ok\n", content_type="text/plain; charset=utf-8", status=503 if wrong else 200
    )


def why_unfit() -> str:
    """What is wrong, in words for the log; empty where nothing is."""
    try:
        applied = set(MigrationRecorder(connection).applied_migrations())
    except Error as failed:
        # Its words may name the server and the account.
        return f"the database does not answer ({type(failed).__name__})"
    if lacking := known_migrations() - applied:
        return f"{len(lacking)} migrations are not applied"
    newer = [app for app, _ in applied - known_migrations() if app in HOUSE]
    return "a newer Wickturn brought the book up to date" if newer else ""


@cache
def known_migrations() -> frozenset[tuple[str, str]]:
    """App and name of every migration this program comes with."""
    return frozenset(MigrationLoader(None).disk_migrations)
