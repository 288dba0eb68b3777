"""The worker's side of a search for a plan.

A search keeps its own record. Whoever works on it holds a lease and renews it with every sign of life; a worker that
was killed renews nothing, and then the search counts as stopped and can be started again. All writes are short
updates that name the worker: between them nothing is locked while the plan is computed, and a worker that comes back
after its lease ran out finds the search taken from it and stops.
"""

import os
import socket
from datetime import datetime, timedelta

from django.utils import timezone
from django.utils.crypto import get_random_string

from production.models import PlanSearch
from production.models.plan import STOPPED, WAITING, WORKING

LEASE = timedelta(seconds=60)


def claim(search_pk: int, worker: str, now: datetime | None = None) -> PlanSearch | None:
    """The search, taken up by this worker; None where it does not wait for one (any more)."""
    now = now or timezone.now()
    mine = PlanSearch.objects.filter(pk=search_pk, state=WAITING).update(
        state=WORKING, worker=worker, started_at=now, beat_at=now, lease_until=now + LEASE
    )
    return PlanSearch.objects.get(pk=search_pk) if mine else None


def write(search: PlanSearch, *, now: datetime | None = None, **values) -> bool:
    """Write a worker's sign of life, with whatever else there is to say; False where the search is no longer its."""
    now = now or timezone.now()
    mine = PlanSearch.objects.filter(pk=search.pk, worker=search.worker, state=WORKING)
    return bool(mine.update(beat_at=now, lease_until=now + LEASE, **values))


def end(search: PlanSearch, state: str, said: str = "", **values) -> None:
    """Write down how it ended, if it is still this worker's."""
    write(search, state=state, said=said, ended_at=timezone.now(), **values)


def is_cancelled(search: PlanSearch) -> bool:
    """Whether the worker is to stop: the owner said so, or the search was taken from it."""
    row = PlanSearch.objects.filter(pk=search.pk).values_list("cancel", "worker", "state").first()
    return row is None or row[0] or row[1:] != (search.worker, WORKING)


def worker_name() -> str:
    """Unique, and says where it runs: by it the next worker on this machine knows whose searches lie idle."""
    return f"{socket.gethostname()[:30]}:{os.getpid()}:{get_random_string(8)}"


def stop(search: PlanSearch) -> None:
    """Write down what is seen already: nobody is at it any more."""
    PlanSearch.objects.filter(pk=search.pk, state=search.state, worker=search.worker).update(
        state=STOPPED, ended_at=timezone.now()
    )


def stop_orphans() -> int:
    """Write down as stopped what workers of this machine left that are no more; how many. For the start of one."""
    found = 0
    for search in PlanSearch.objects.filter(state=WORKING).defer("problem", "facts", "found"):
        host, _, rest = search.worker.partition(":")
        pid = rest.partition(":")[0]
        if host == socket.gethostname()[:30] and pid.isdecimal() and not _is_alive(int(pid)):
            stop(search)
            found += 1
    return found


def _is_alive(pid: int) -> bool:
    if os.name == "nt":
        # Signal 0 would end a process there: the lease tells, a little later.
        return True
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except PermissionError:
        return True
    return True
