"""What the worker does for production, beside the pages."""

from django_tasks import task

from production.domain.dip_plan.lease import worker_name
from production.domain.dip_plan.run import run_search


@task()
def search_plan(search_pk: int) -> str:
    """Do one search; what came of it, for the worker's own log."""
    return run_search(search_pk, worker=worker_name())
