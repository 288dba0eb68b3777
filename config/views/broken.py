"""The page for a fault of our own: where the database is what failed, it says so, and when to try again."""

import sys

from django.db import InterfaceError, OperationalError
from django.http import HttpResponse
from django.template.loader import render_to_string
from django.views.defaults import server_error

TRY_AGAIN_S = "30"


def broken(request):
    """Django's page for a fault; 503 where the database went away or let nobody write in time."""
    if not isinstance(sys.exc_info()[1], OperationalError | InterfaceError):
        return server_error(request)
    return HttpResponse(render_to_string("503.html"), status=503, headers={"Retry-After": TRY_AGAIN_S})
