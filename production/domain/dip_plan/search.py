"""Searches for a plan: asked for by the owner, done by a worker, never in a page.

A search keeps its own record. Whoever works on it holds a lease and renews it with every sign of life; a worker that
was killed renews nothing, and then the search counts as stopped and can be started again. All writes are short
updates that name the worker: between them nothing is locked while the plan is computed, and a worker that comes back
after its lease ran out finds the search taken from it and stops.
"""

import os
import socket
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone
from django.utils.crypto import get_random_string

from inventory.domain.records import record
from production.domain.dip_plan.what_if import check_changes
from production.models import FloorFigures, PlanSearch
from production.models.plan import CANCELLED, EFFORTS, FOUND, STOPPED, WAITING, WORKING
from production.queries.dip_plan import LIVE, state_of

LEASE = timedelta(seconds=60)
MOST_DAYS, MOST_SEED = 60, 2**31 - 1
PLAN_ID = 1  # the record's subject: there is one dip plan


@transaction.atomic
def ask_search(
    *,
    effort: str = "normal",
    seed: int = 1,
    days: int | None = None,
    keeps_first_day: bool = True,
    what_if: dict | None = None,
    beside: PlanSearch | None = None,
    by,
) -> PlanSearch:
    """Ask for a plan of the next `days` working days (else as many as the floor's figures say); a worker does it.

    One search is on at a time, and one trial (`what_if`, see what_if.py): asked for again meanwhile, the same is given
    back; a trial of something else is refused. ValidationError by field.
    """
    figures = lock_plan()
    days = figures.plan_days if days is None else days
    if effort not in dict(EFFORTS):
        raise ValidationError({"effort": "Quick, normal or long."})
    if not isinstance(seed, int) or not 0 <= seed <= MOST_SEED:
        raise ValidationError({"seed": f"A whole number from 0 to {MOST_SEED:,}."})
    if not isinstance(days, int) or not 1 <= days <= MOST_DAYS:
        raise ValidationError({"days": f"Between 1 and {MOST_DAYS} working days."})
    changes = check_changes(what_if or {})
    for other in PlanSearch.objects.filter(state__in=LIVE).defer("problem", "facts", "found"):
        if bool(other.what_if) != bool(changes):
            continue
        if state_of(other) not in LIVE:
            _stop(other)
        elif other.what_if == changes:
            return other
        else:
            raise ValidationError("Another trial is being worked out: wait for it, or cancel it.")
    search = PlanSearch.objects.create(
        effort=effort, seed=seed, days=days, keeps_first_day=keeps_first_day, what_if=changes, beside=beside,
        asked_at=timezone.now(), asked_by=by,
    )  # fmt: skip
    _hand_over(search)
    return search


def lock_plan() -> FloorFigures:
    """Whoever asks for, takes over or mends a plan waits here: the floor's figures, locked before all else."""
    FloorFigures.objects.get_or_create(pk=1)
    return FloorFigures.objects.select_for_update().get(pk=1)


def _hand_over(search: PlanSearch) -> None:
    from production.tasks import search_plan  # noqa: PLC0415 - the task imports this module

    # After the commit: a worker that is quick would not see the row before. Where the machine dies in between, the
    # search is shown as not taken up, and can be started again.
    transaction.on_commit(lambda: search_plan.enqueue(search.pk))


@transaction.atomic
def start_again(*, search: PlanSearch, by) -> PlanSearch:
    """Start a search that stopped, failed or was cancelled once more, from the book as it is now.

    One that is on stays on. ValidationError where it has found its plan, or another search is on.
    """
    lock_plan()
    search = PlanSearch.objects.select_for_update().get(pk=search.pk)
    if state_of(search) in LIVE:
        return search
    if search.state == FOUND:
        raise ValidationError("This search is done: ask for a new one.")
    for other in PlanSearch.objects.filter(state__in=LIVE).exclude(pk=search.pk).defer("problem", "facts", "found"):
        if bool(other.what_if) == bool(search.what_if) and state_of(other) in LIVE:
            raise ValidationError("Another search is on: wait for it, or cancel it.")
    search.state, search.cancel, search.worker, search.said = WAITING, False, "", ""
    search.moves = search.moves_in_all = 0
    search.asked_at, search.asked_by = timezone.now(), by
    search.started_at = search.beat_at = search.lease_until = search.ended_at = None
    search.save()
    _hand_over(search)
    return search


@transaction.atomic
def cancel_search(*, search: PlanSearch, by) -> PlanSearch:
    """Let a search end as soon as its worker looks up; what it has found by then stays. One that is over stays so."""
    search = PlanSearch.objects.select_for_update().get(pk=search.pk)
    state = state_of(search)
    if state == WORKING:
        search.cancel = True
        search.save(update_fields=["cancel"])
    elif search.state in LIVE:
        # Nobody is at it, so nobody would look at the flag.
        search.state, search.ended_at = CANCELLED, timezone.now()
        search.save(update_fields=["state", "ended_at"])
    else:
        return search
    record(subject="dip plan", subject_id=PLAN_ID, what=f"Search {search.pk} cancelled", by=by)
    return search


def _stop(search: PlanSearch) -> None:
    """Write down what is seen already: nobody is at it any more."""
    PlanSearch.objects.filter(pk=search.pk, state=search.state, worker=search.worker).update(
        state=STOPPED, ended_at=timezone.now()
    )


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


def stop_orphans() -> int:
    """Write down as stopped what workers of this machine left that are no more; how many. For the start of one."""
    found = 0
    for search in PlanSearch.objects.filter(state=WORKING).defer("problem", "facts", "found"):
        host, _, rest = search.worker.partition(":")
        pid = rest.partition(":")[0]
        if host == socket.gethostname()[:30] and pid.isdecimal() and not _is_alive(int(pid)):
            _stop(search)
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
