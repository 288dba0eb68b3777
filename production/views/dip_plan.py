"""The dip plan: its picture by half-days, the search for a better one, and why lines are late."""

from datetime import date, datetime, timedelta

from django.contrib import messages
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_safe

from config.roles import for_roles, works_as
from inventory.views.paging import RequestConfig
from inventory.words import counted
from production.dip_plan.explain import bound_words
from production.forms.dip_plan import AskForm
from production.models import PlanSearch, Want
from production.plan_svg import draw_late_swatch
from production.plan_words import (
    better_by,
    capital,
    cost_sentence,
    full_day,
    late_sentence,
    lateness,
    plan_sentence,
    tally,
    week_end,
)
from production.queries.dip_plan import latest_search, search_progress, standing_plan
from production.queries.plan_facts import what_changed
from production.queries.plan_late import late_rows
from production.queries.plan_next import next_to_hang
from production.queries.plan_picture import draw_days, look_at
from production.queries.plan_read import Read, read_found, read_plan
from production.tables.dip_plan import LateTable

LATE_A_PAGE = 50
MOST_DIGITS = 9  # of a figure in an address


@for_roles("dipper")
@require_safe
def dip_plan(request):
    return plan_page(request, AskForm())


def plan_page(request, ask: AskForm):
    """The page of the plan; with a refused form it comes back as it was typed."""
    row, now = standing_plan(), timezone.now()
    read = read_plan(row) if row else None
    context = {
        "plan": row,
        "owns": works_as(request.user),
        "headline": plan_sentence(read.problem, read.plan, timezone.localtime(now)) if read else _no_plan(),
        "ask": ask,
        "next": next_to_hang(read, now) if read else [],
        "changed": what_changed(row, now) if read else [],
        "part": search_part(request, read),
        **(picture(request, read, now) if read else {}),
    }
    return render(request, "production/plan/plan.html", context, status=422 if ask.errors else 200)


@for_roles("dipper")
@require_safe
def dip_plan_progress(request):
    """What the page asks for while a search is on; without htmx the page itself, which shows the same."""
    if not request.htmx:
        return redirect("dip_plan")
    row = standing_plan()
    part = search_part(request, read_plan(row) if row else None)
    return render(request, "production/plan/_search.html", {"part": part, "owns": works_as(request.user), "plan": row})


@for_roles("dipper")
@require_safe
def dip_plan_found(request, pk):
    """The best plan of a search, before it is taken over."""
    search = get_object_or_404(PlanSearch.objects.select_related("asked_by"), pk=pk, what_if={})
    read, row, now = read_found(search), standing_plan(), timezone.now()
    if read is None:
        messages.error(request, "This search has found no plan yet.")
        return redirect("dip_plan")
    against = read_plan(row) if row else None
    context = {
        "search": search,
        "owns": works_as(request.user),
        "headline": plan_sentence(read.problem, read.plan, timezone.localtime(now)),
        "against": better_by(tally(read.problem, read.plan), tally(against.problem, against.plan)) if against else "",
        "taken": hasattr(search, "plan"),
        **picture(request, read, now),
    }
    return render(request, "production/plan/found.html", context)


@for_roles("dipper")
@require_safe
def dip_plan_late(request):
    row = standing_plan()
    if row is None:
        messages.error(request, "No plan stands: make one first.")
        return redirect("dip_plan")
    read = read_plan(row)
    table = LateTable(late_rows(read))
    RequestConfig(request, paginate={"per_page": LATE_A_PAGE}).configure(table)
    context = {
        "headline": late_sentence(read.problem, read.plan),
        "cost": cost_sentence(tally(read.problem, read.plan)),
        "said": read.plan.said,
        "table": table,
        "owns": works_as(request.user),
    }
    return render(request, "production/plan/late.html", context)


def search_part(request, read: Read | None) -> dict:
    """What is shown of the latest search: {} where there is none, or its plan was taken over or is older than the one
    that stands.
    """
    search = latest_search()
    if search is None or hasattr(search, "plan"):
        return {}
    progress = search_progress(search)
    if not progress.live and read and read.row and read.row.made_at > search.asked_at:
        return {}
    best = read_found(search) if progress.has_plan else None
    facts = tally(best.problem, best.plan) if best else None
    began = request.GET.get("began", "")
    began = int(began) if began.isdecimal() and len(began) <= MOST_DIGITS else facts and facts.late_days
    return {
        "search": search,
        "progress": progress,
        "share": round(100 * progress.share),
        "best": facts,
        "began": began,
        "strong": bool(best and (read is None or best.plan.cost.total < read.plan.cost.total)),
        "improved": facts and began > facts.late_days,
        "lateness": capital(lateness(facts)) if facts else "",
        "cost": cost_sentence(facts) if facts else "",
        "against": better_by(facts, tally(read.problem, read.plan)) if facts and read else "",
    }


def picture(request, read: Read, now: datetime) -> dict:
    """The days of the week asked for (`?week=` any of its days), else of the one that is on, and the others' links."""
    problem, today = read.problem, timezone.localtime(now)
    weeks = weeks_of(read, today)
    chosen = chosen_week(request, weeks, week_end(problem, today)) if problem.halves else None
    look = look_at(problem, read.row)
    monday = chosen and chosen - timedelta(days=chosen.weekday())
    days = (
        draw_days(problem, read.plan, look, since=now, first=monday, until=monday + timedelta(days=6))
        if monday
        else []
    )
    facts = tally(problem, read.plan)
    return {
        "days": days,
        "weeks": [(week, f"Week of {full_day(week)}", week == monday) for week in weeks],
        "week": monday,
        "facts": facts,
        "cost": cost_sentence(facts),
        "said": read.plan.said,
        "bound": bound_words(read.plan),
        "swatch": draw_late_swatch(),
    }


def weeks_of(read: Read, now: datetime) -> list[date]:
    """Mondays of the weeks that have a half-day still to come."""
    days = {read.problem.days[half.day] for half in read.problem.halves}
    ahead = [day.date for day in days if day.closes > now]
    return sorted({day - timedelta(days=day.weekday()) for day in ahead})


def chosen_week(request, weeks: list[date], usual: date) -> date:
    """A day of the week that is asked for, if the plan has it; else the usual one."""
    try:
        asked = date.fromisoformat(request.GET.get("week", ""))
    except ValueError:
        return usual
    return asked if asked - timedelta(days=asked.weekday()) in weeks else usual


def _no_plan() -> str:
    waiting = Want.objects.count()
    if not waiting:
        return "No plan stands, and nothing is wanted of the floor."
    return f"No plan stands yet; {counted(waiting, 'line waits', 'lines wait')} on the dip list."
