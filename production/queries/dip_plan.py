"""The dip plan as pages read it: the plan that stands, what it means for each want, and how far a search is."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import QuerySet
from django.utils import timezone

from inventory.words import per_cent
from production.models import DipPlan, PlannedFrame, PlanSearch
from production.models.plan import CANCELLED, FAILED, FOUND, STOPPED, WAITING, WORKING
from production.queries.on_floor import on_floor_by_want
from production.queries.planned import standing_meant_for

LIVE = (WAITING, WORKING)
TAKEN_UP_WITHIN = timedelta(seconds=30)  # a worker that runs looks every second


def standing_plan() -> DipPlan | None:
    """The plan that stands. Its problem and answer, which are long, are fetched when they are first looked at."""
    return DipPlan.objects.filter(stands=True).select_related("made_by").defer("problem", "answer", "facts").first()


def planned_by_want(
    wants: Iterable[int], hangs: Mapping[int, int] | None = None
) -> dict[int, list[tuple[PlannedFrame, int]]]:
    """By want: planned frames not threaded yet, the one that is ready first before the others, each with the pairs of
    firsts meant for it.

    Never more than the want has open beyond what hangs for it: a plan may be older than the want. Wants nothing is
    planned for are left out. `hangs`: pairs that hang for each want, where the caller knows them; else that is one
    query more. One query, none for no wants.
    """
    keys = list(wants)
    if not keys:
        return {}
    rows = standing_meant_for().filter(want__in=keys).select_related("frame", "want")
    rows = list(rows.order_by("frame__ready_on", "frame__hard_at", "frame__number"))
    if rows and hangs is None:
        hangs = on_floor_by_want({row.want_id for row in rows})
    left = {row.want_id: row.want.pairs - hangs.get(row.want_id, 0) for row in rows}
    found: dict[int, list[tuple[PlannedFrame, int]]] = defaultdict(list)
    for row in rows:
        pairs = min(row.pairs, left[row.want_id])
        if pairs > 0:
            found[row.want_id].append((row.frame, pairs))
            left[row.want_id] -= pairs
    return dict(found)


def latest_search() -> PlanSearch | None:
    """The search asked for last, trials left out."""
    return _searches().filter(what_if={}).first()


def latest_trial() -> PlanSearch | None:
    """The trial asked for last: what a plan would be like if something were different."""
    return _searches().exclude(what_if={}).first()


def _searches() -> QuerySet[PlanSearch]:
    return PlanSearch.objects.select_related("asked_by", "plan").defer("problem", "facts", "found").order_by("-pk")


@dataclass(frozen=True)
class Progress:
    """How far a search is. `share` of its moves done, 0 to 1; `has_plan`: a plan is there that can be taken over."""

    state: str
    share: float
    has_plan: bool
    words: str

    @property
    def live(self) -> bool:
        """Somebody is at it, or soon will be: a page asks again."""
        return self.state in LIVE

    @property
    def can_start_again(self) -> bool:
        return self.state in (STOPPED, CANCELLED, FAILED)


def search_progress(search: PlanSearch, now: datetime | None = None) -> Progress:
    """How far it is by its own record: a worker that was killed says nothing any more, and then its lease runs out."""
    now = now or timezone.now()
    state = state_of(search, now)
    share = 1.0 if state == FOUND else min(1.0, search.moves / search.moves_in_all) if search.moves_in_all else 0.0
    has_plan = PlanSearch.objects.filter(pk=search.pk).exclude(found={}).exists()
    return Progress(state, share, has_plan, _words(search, state, share))


def state_of(search: PlanSearch, now: datetime | None = None) -> str:
    """Its state, or "stopped" where nobody is at it although it says so."""
    now = now or timezone.now()
    if search.state == WORKING and (search.lease_until is None or search.lease_until < now):
        return STOPPED
    if search.state == WAITING and search.asked_at < now - TAKEN_UP_WITHIN and not _somebody_works(now):
        return STOPPED
    return search.state


def _somebody_works(now: datetime) -> bool:
    return PlanSearch.objects.filter(state=WORKING, lease_until__gte=now).exists()


def _words(search: PlanSearch, state: str, share: float) -> str:
    if state == WORKING:
        return "Stopping." if search.cancel else f"{per_cent(share)} of the search is done."
    if state == STOPPED and search.state == WAITING:
        return "Nobody has taken the search up: is the worker running? Start it again."
    return {
        WAITING: "The search is about to begin.",
        FOUND: "The search is done.",
        STOPPED: f"The search stopped in the middle, {per_cent(share)} done. Start it again.",
        CANCELLED: f"The search was cancelled, {per_cent(share)} done.",
        FAILED: f"The search failed: {search.said or 'nobody knows why'}",
    }[state]
