"""What the owner does with the dip plan: search, cancel, take over, mend."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from config.roles import for_roles
from production.domain.dip_plan.repair import repair_now
from production.domain.dip_plan.search import ask_search, cancel_search, start_again
from production.domain.dip_plan.take_over import take_over
from production.forms.dip_plan import AskForm
from production.models import PlanSearch
from production.views.dip_plan import plan_page
from production.views.floor_taps import at_known_fields

SEARCHES = PlanSearch.objects.all()


@for_roles()
@require_POST
def dip_plan_ask(request):
    form = AskForm(request.POST)
    if form.is_valid():
        try:
            ask_search(**form.cleaned_data, by=request.user)
        except ValidationError as refused:
            form.add_error(None, at_known_fields(form, refused))
        else:
            return redirect(f"{reverse('dip_plan')}#search")
    return plan_page(request, form)


@for_roles()
@require_POST
def dip_plan_again(request, pk):
    search = get_object_or_404(SEARCHES, pk=pk)
    try:
        start_again(search=search, by=request.user)
    except ValidationError as refused:
        _refuse(request, refused)
    return _back_to(search)


@for_roles()
@require_POST
def dip_plan_cancel(request, pk):
    search = get_object_or_404(SEARCHES, pk=pk)
    cancel_search(search=search, by=request.user)
    messages.success(request, "The search is cancelled; what it has found so far stays.")
    return _back_to(search)


@for_roles()
@require_POST
def dip_plan_take(request, pk):
    search = get_object_or_404(SEARCHES, pk=pk)
    try:
        take_over(search=search, by=request.user)
    except ValidationError as refused:
        _refuse(request, refused)
    else:
        messages.success(request, "The plan stands now.")
    return redirect("dip_plan")


@for_roles()
@require_POST
def dip_plan_repair(request):
    try:
        repair_now(by=request.user)
    except ValidationError as refused:
        _refuse(request, refused)
    else:
        messages.success(request, "The plan is mended: it holds the pins and what has changed.")
    return redirect("dip_plan")


def _back_to(search: PlanSearch):
    return redirect("dip_plan_trial", pk=search.pk) if search.what_if else redirect("dip_plan")


def _refuse(request, refused: ValidationError) -> None:
    for message in refused.messages:
        messages.error(request, message)
