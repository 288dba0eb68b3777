"""What if: a plan tried with something changed, side by side with the one that stands. The book is not touched."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from config.roles import for_roles
from inventory.views.paging import RequestConfig
from production.domain.dip_plan.search import ask_search
from production.domain.dip_plan.what_if import in_words
from production.forms.dip_plan import WhatIfForm
from production.models import PlanSearch
from production.plan_beside import figures_beside, moved_lines, trial_sentence
from production.plan_words import short_day, tally
from production.queries.dip_plan import search_progress, standing_plan
from production.queries.plan_pages import state_in_words
from production.queries.plan_read import read_found, read_plan
from production.tables.dip_plan import MovedRow, MovedTable, SideRow, SideTable, TrialTable

TRIALS_SHOWN, MOVED_A_PAGE = 20, 50
FIELDS = {"order": "rows", "days_worked": "day_worked"}  # as the domain calls them: as the form does


@for_roles()
@require_http_methods(["GET", "HEAD", "POST"])
def dip_plan_what_if(request):
    row = standing_plan()
    if row is None:
        messages.error(request, "No plan stands to try against: make one first.")
        return redirect("dip_plan")
    form = WhatIfForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            trial = ask_search(effort="quick", what_if=form.changes, beside=row.search, by=request.user)
        except ValidationError as refused:
            form.add_error(None, _at_fields(refused))
        else:
            return redirect("dip_plan_trial", pk=trial.pk)
    trials = list(PlanSearch.objects.exclude(what_if={}).defer("problem", "facts", "found")[:TRIALS_SHOWN])
    for trial in trials:
        trial.words, trial.told = in_words(trial.what_if), state_in_words(trial)
    context = {"form": form, "table": TrialTable(trials), "trials": trials}
    return render(request, "production/plan/what_if.html", context, status=422 if form.errors else 200)


def _at_fields(refused: ValidationError) -> ValidationError:
    if not hasattr(refused, "error_dict"):
        return refused
    return ValidationError({FIELDS.get(name, name): errors for name, errors in refused.error_dict.items()})


@for_roles()
@require_safe
def dip_plan_trial(request, pk):
    """Asked again by the page itself while the trial is worked out."""
    trial, row = get_object_or_404(PlanSearch.objects.exclude(what_if={}), pk=pk), standing_plan()
    if row is None:
        messages.error(request, "No plan stands to try against: make one first.")
        return redirect("dip_plan")
    progress, read = search_progress(trial), read_found(trial)
    words = in_words(trial.what_if)
    context = {
        "trial": trial,
        "progress": progress,
        "share": round(100 * progress.share),
        "words": words,
        "headline": f"{words[:1].upper()}{words[1:]}: being worked out.",
        **(_beside(request, words, read_plan(row), read) if read else {}),
    }
    template = "production/plan/_trial.html" if request.htmx else "production/plan/trial.html"
    return render(request, template, context)


def _beside(request, words: str, stands, trial) -> dict:
    then, now = tally(stands.problem, stands.plan), tally(trial.problem, trial.plan)
    moved = moved_lines((stands.problem, stands.plan), (trial.problem, trial.plan))
    rows = [SideRow(each.what, each.stands, each.trial) for each in figures_beside(then, now)]
    table = MovedTable([_moved_row(each, trial.problem) for each in moved])
    RequestConfig(request, paginate={"per_page": MOVED_A_PAGE}).configure(table)
    return {
        "headline": trial_sentence(words, then, now, moved),
        "sides": SideTable(rows),
        "moved": table,
        "said": trial.plan.said,
    }


def _moved_row(each, problem) -> MovedRow:
    want = each.want
    item = problem.items[want.item]
    stands, trial = (short_day(day) if day else "–" for day in (each.then, each.now))
    return MovedRow(want.label, item.name, want.pairs, want.due, stands, trial, each.words, each.days)
