"""Searches for a plan, as the owner sees them: asked for, started again, cancelled. A worker does them (lease.py),
never a page.
"""

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils import timezone

from inventory.domain.records import record
from production.domain.dip_plan.lease import stop
from production.domain.dip_plan.what_if import check_changes
from production.models import FloorFigures, PlanSearch
from production.models.plan import CANCELLED, EFFORTS, FOUND, WAITING, WORKING
from production.queries.dip_plan import LIVE, state_of
from production.tasks import search_plan

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
            stop(other)
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
