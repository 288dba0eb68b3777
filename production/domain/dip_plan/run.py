"""One search, done: the book read once, a first plan at once, then better ones until the effort is spent."""

import logging
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from django.db import OperationalError, connection

from production.dip_plan.codec import plan_to_json, problem_to_json
from production.dip_plan.plan import Bound, Plan
from production.dip_plan.problem import Problem
from production.domain.dip_plan.lease import claim, end, is_cancelled, write
from production.domain.dip_plan.load import load_problem
from production.models import PlanSearch
from production.models.plan import CANCELLED, FAILED, FOUND, STOPPED

BEAT_S = 10.0  # between two signs of life, well within a lease
LOOK_S = 1.0  # between two looks at the cancel flag, and between two tellings of how far it is
stopping = threading.Event()  # the worker is told to end: what it has in hand stops, and says so
logger = logging.getLogger(__name__)


def run_search(search_pk: int, *, worker: str) -> str:
    """Work on the search until it is done, cancelled or taken away; the state it ended in, "" where it did not wait.

    No transaction is open while the plan is computed. A mistake in the planner ends the search as failed, with its
    words; the plan that stands is not touched by any of this.
    """
    search = claim(search_pk, worker)
    if search is None:
        return ""
    try:
        with _heart(search):
            return _search(search)
    except Exception as failed:
        logger.exception("Search %s for a dip plan failed", search_pk)
        end(search, FAILED, said=f"{type(failed).__name__}: {failed}"[:500])
        return FAILED
    except BaseException:
        # The worker was told twice to end, and breaks off here.
        end(search, STOPPED)
        raise


def get_ready() -> None:
    """Have the planner's loops compiled, or read from where they were kept, before anybody waits for them."""
    from production.dip_plan.construct import construct  # noqa: PLC0415 - what the planner imports is no page's need
    from production.dip_plan.improve import improve  # noqa: PLC0415 - as above
    from production.dip_plan.instances import make  # noqa: PLC0415 - as above

    problem, looks = make("small"), iter((False, False))
    # It is told to stop at the third look: by then every loop has run once.
    improve(problem, construct(problem), effort="normal", seed=1, stop=lambda: next(looks, True))


def _search(search: PlanSearch) -> str:
    from production.dip_plan.construct import construct  # noqa: PLC0415 - what the planner imports is no page's need
    from production.dip_plan.improve import improve  # noqa: PLC0415 - as above

    loaded = load_problem(days=search.days, keeps_first_day=search.keeps_first_day, what_if=search.what_if)
    first = construct(loaded.problem)
    write(search, problem=problem_to_json(loaded.problem), facts=loaded.facts, found=plan_to_json(first))
    telling = Telling(search)
    best = improve(loaded.problem, first, effort=search.effort, seed=search.seed, tell=telling.tell, stop=telling.stop)
    if telling.stop():
        state = STOPPED if stopping.is_set() else CANCELLED
        end(search, state, found=plan_to_json(best))
        return state
    write(search, found=plan_to_json(best), moves=telling.in_all, moves_in_all=telling.in_all)
    end(search, FOUND, found=plan_to_json(replace(best, bound=_proven(loaded.problem, best))))
    return FOUND


def _proven(problem: Problem, plan: Plan) -> Bound | None:
    """What no plan beats; None where there is nothing to plan, or the proof fails: the plan is as good without it."""
    from production.dip_plan.bound import prove  # noqa: PLC0415 - as above

    try:
        return prove(problem, plan) if problem.halves else None
    except Exception:
        logger.exception("No bound could be proven")
        return None


@contextmanager
def _heart(search: PlanSearch) -> Iterator[None]:
    """Signs of life from a thread of its own: a long stretch in the solver or the proof tells nobody anything."""
    done = threading.Event()

    def beat() -> None:
        try:
            while not done.wait(BEAT_S):
                try:
                    write(search)
                except OperationalError:
                    # A book that is locked or away just now costs one sign of life; the lease outlasts several.
                    logger.warning("Search %s could not give a sign of life", search.pk)
        finally:
            connection.close()

    thread = threading.Thread(target=beat, daemon=True)
    thread.start()
    try:
        yield
    finally:
        done.set()
        thread.join()


class Telling:
    """What the planner tells of itself, written down now and then. The clock decides when, never what is planned."""

    def __init__(self, search: PlanSearch):
        self.search, self.stopped, self.in_all = search, False, 0
        self._written, self._best = 0.0, None
        self._looked = 0.0

    def tell(self, done: int, in_all: int, best: Plan) -> None:
        self.in_all = in_all
        if time.monotonic() - self._written < LOOK_S and done < in_all:
            return
        values = {"moves": min(done, in_all), "moves_in_all": in_all}
        if best is not self._best:
            values["found"], self._best = plan_to_json(best), best
        write(self.search, **values)
        self._written = time.monotonic()

    def stop(self) -> bool:
        if not self.stopped and time.monotonic() - self._looked >= LOOK_S:
            self._looked = time.monotonic()
            self.stopped = is_cancelled(self.search)
        return self.stopped or stopping.is_set()
