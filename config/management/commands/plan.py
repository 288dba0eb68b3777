"""manage.py plan: the dip plan of the book, or of an instance in a file. Nothing in the book changes by it."""

import json
from dataclasses import replace
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connection

from production.dip_plan.check import faults
from production.dip_plan.clock import moment_done, moment_of
from production.dip_plan.codec import BadInstance, problem_from_json
from production.dip_plan.explain import bound_words
from production.dip_plan.plan import Plan
from production.dip_plan.problem import Problem
from production.models.plan import EFFORTS

LARGEST_FILE = 64 * 2**20  # bytes: the largest instance that is measured takes two million


class Command(BaseCommand):
    help = "Makes the dip plan; the same effort and seed make the same plan. Exits 1 where it does not hold."

    def add_arguments(self, parser):
        parser.add_argument("--effort", choices=[effort for effort, _ in EFFORTS], default="normal")
        parser.add_argument("--seed", type=int, default=1)
        parser.add_argument("--days", type=int, help="working days to plan (default: the floor's figure)")
        parser.add_argument("--instance", metavar="FILE", help="a problem in a file, instead of the book")
        parser.add_argument("--json", action="store_true", help="one JSON object")

    def handle(self, **options):
        if not 0 <= options["seed"] < 2**31:
            raise CommandError("--seed: a whole number from 0 to 2147483647.")
        if options["instance"]:
            if options["days"]:
                raise CommandError("--days is the book's: an instance says itself how far it goes.")
            problem = read_instance(options["instance"])
        else:
            problem = read_book(options["days"])
        plan = make(problem, options["effort"], options["seed"])
        found = faults(problem, plan)
        if options["json"]:
            self.stdout.write(json.dumps(in_json(problem, plan, found)))
        else:
            for sentence in in_words(problem, plan, found):
                self.stdout.write(sentence)
        if found:
            raise SystemExit(1)


def read_instance(name: str) -> Problem:
    """CommandError where the file cannot be read, or says something that no floor is like."""
    file = Path(name)
    try:
        if file.stat().st_size > LARGEST_FILE:
            raise CommandError(f"{name}: larger than any instance ({LARGEST_FILE // 2**20} MB).")
        return problem_from_json(file.read_bytes().decode("utf-8-sig"))
    except OSError as failed:
        raise CommandError(f"{name}: {(failed.strerror or str(failed)).lower()}") from None
    except UnicodeDecodeError:
        raise CommandError(f"{name}: this is no text.") from None
    except BadInstance as bad:
        raise CommandError(f"{name}: {bad}") from None


def read_book(days: int | None) -> Problem:
    from production.domain.dip_plan.load import load_problem  # noqa: PLC0415 - an instance needs no book
    from production.domain.dip_plan.search import MOST_DAYS  # noqa: PLC0415 - as above

    if days is not None and not 1 <= days <= MOST_DAYS:
        raise CommandError(f"--days: between 1 and {MOST_DAYS}.")
    name = settings.DATABASES["default"]["NAME"]
    if connection.vendor == "sqlite" and not settings.TESTING and not Path(name).exists():
        raise CommandError(
            "There is no book yet: start with `python3 manage.py demo` or `serve`, or name an --instance."
        )
    try:
        return load_problem(days=days).problem
    except DatabaseError as failed:
        raise CommandError(f"The book cannot be read: {str(failed).strip()}") from None


def make(problem: Problem, effort: str, seed: int) -> Plan:
    """The plan with its bound, and with all that is said of what could not be planned."""
    from production.dip_plan.bound import prove  # noqa: PLC0415 - heavy imports, and only where something is planned
    from production.dip_plan.construct import construct  # noqa: PLC0415 - as above
    from production.dip_plan.improve import improve  # noqa: PLC0415 - as above

    plan = improve(problem, construct(problem), effort=effort, seed=seed)
    return replace(plan, bound=prove(problem, plan)) if problem.halves else plan


def in_json(problem: Problem, plan: Plan, found: list[str]) -> dict:
    """What scripts read: counts and costs, each bound apart, and the frames to hang."""
    bound = plan.bound
    apart = ("late", "change_minutes", "over")
    return {
        "frames": frames(problem, plan),
        "late": plan.cost.late,
        "change_minutes": plan.cost.change_minutes,
        "over": plan.cost.over,
        "cost": plan.cost.total,
        "bound": bound.total if bound else None,
        "bounds": {name: getattr(bound, name) if bound else None for name in apart},
        "bound_how": bound.how if bound else "",
        "gap": gap(plan),
        "checked": not found,
        "faults": found,
        "effort": plan.effort,
        "seed": plan.seed,
        "moves": plan.moves,
        "cut": plan.cut,
        "said": [*problem.said, *plan.said],
    }


def gap(plan: Plan) -> float | None:
    """How far the cost lies above the bound, as a share of the cost; None without a useful bound."""
    if plan.bound is None or plan.bound.total is None:
        return None
    return round(1 - plan.bound.total / plan.cost.total, 4) if plan.cost.total else 0.0


def frames(problem: Problem, plan: Plan) -> list[dict]:
    """Frames to hang, in the order in which they are hung; of several stages the first's place and the last's end."""
    ready, rows = {row.frame: row for row in plan.ready}, {}
    for hanging in sorted(plan.hangings, key=lambda row: (row.frame, row.stage)):
        if hanging.started >= 0:
            continue
        vat = problem.vats[hanging.vat]
        row = rows.setdefault(
            hanging.frame,
            {
                "frame": hanging.frame,
                "candle": problem.items[hanging.item].code,
                "pairs": problem.items[hanging.item].pairs,
                "vat": vat.name,
                "carousel": vat.carousel,
                "position": hanging.position + 1,
                "hang": moment_of(problem.days, hanging.starts).isoformat(),
                "first_dip": moment_of(problem.days, hanging.first).isoformat(),
            },
        )
        row["last_dip"] = moment_done(problem.days, hanging.ends).isoformat()
        if hanging.frame in ready:
            row["ready"] = ready[hanging.frame].ready.isoformat()
    return sorted(rows.values(), key=lambda row: (row["hang"], row["frame"]))


def in_words(problem: Problem, plan: Plan, found: list[str]):
    """The same for people."""
    to_hang, late = len(frames(problem, plan)), [row for row in plan.wants if row.late]
    yield f"{to_hang} frames to hang on {len({half.day for half in problem.halves})} working days."
    yield (
        f"{len(late)} of {len(plan.wants)} lines are late: {plan.cost.late:,} weighted pair-days; "
        f"{plan.cost.change_minutes:,} minutes of change-overs; {plan.cost.over} frames more than the lines need."
    )
    yield from bound_words(plan)
    yield from (*problem.said, *plan.said)
    yield "Checked: it holds." if not found else f"Checked: {len(found)} faults."
    yield from found
