"""What the worker does for production, beside the pages."""

import os
import socket

from django.utils.crypto import get_random_string
from django_tasks import task

from production.domain.dip_plan.run import run_search


@task()
def search_plan(search_pk: int) -> str:
    """Do one search; what came of it, for the worker's own log."""
    return run_search(search_pk, worker=f"{socket.gethostname()[:40]}-{os.getpid()}-{get_random_string(8)}")
