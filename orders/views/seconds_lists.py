"""The seconds list of a day: who gets it, one button that sends it, and the paper for one shop."""

from datetime import date

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from config.roles import for_roles
from inventory.views.paging import RequestConfig
from inventory.words import counted, day
from orders.domain.pricing import seconds_rule
from orders.domain.seconds_lists import check_list_day, issue_list, send_lists
from orders.forms.seconds import ListDayForm
from orders.models import Shop
from orders.prices import STERLING, seconds_cost
from orders.queries.seconds import shelf_rows
from orders.queries.seconds_boxes import shelf_boxes
from orders.queries.seconds_lists import listed_shops
from orders.seconds_words import list_sentence, sending_sentence
from orders.tables.seconds_lists import ListedShopTable

PLACE = ("packer",)


@for_roles(*PLACE)
@require_safe
def seconds_list(request):
    if "day" not in request.GET:
        return _show(request, ListDayForm(initial={"day": timezone.localdate()}), timezone.localdate())
    form = ListDayForm(request.GET)
    for_day = _checked(form)
    return _show(request, form, for_day or timezone.localdate(), status=200 if for_day else 422)


def _checked(form: ListDayForm) -> date | None:
    """The day asked for, where a list can be made for it; the reason stands at the field otherwise."""
    if not form.is_valid():
        return None
    try:
        check_list_day(form.cleaned_data["day"])
    except ValidationError as error:
        form.add_error(None, error)
        return None
    return form.cleaned_data["day"]


def _show(request, form: ListDayForm, for_day: date, status: int = 200):
    rows, shelf, boxes = listed_shops(), shelf_rows(for_day), shelf_boxes(for_day)
    table = ListedShopTable(rows, for_day=for_day)
    RequestConfig(request, paginate=False).configure(table)
    to_send = sum(1 for row in rows if row.waits)
    offered = list_sentence(
        boxes=len(boxes), in_boxes=sum(box.pairs for box in boxes), pairs=sum(row.free for row in shelf)
    )
    context = {
        "headline": sending_sentence(wanting=len(rows), had=sum(1 for row in rows if row.letter), to_send=to_send),
        "offered": offered,
        "anything": bool(shelf or boxes),
        "for_day": for_day,
        "form": form,
        "table": table,
        "to_send": to_send,
        "costs": seconds_cost(seconds_rule(for_day, STERLING)),
    }
    return render(request, "orders/seconds_list.html", context, status=status)


@for_roles(*PLACE)
@require_POST
def seconds_list_send(request):
    form = ListDayForm(request.POST)
    for_day = _checked(form)
    if for_day is None:
        return _show(request, form, timezone.localdate(), status=422)
    sent = send_lists(for_day=for_day, by=request.user)
    if sent.papers:
        numbers = ", ".join(paper.number for paper in sent.papers)
        messages.success(request, f"{counted(len(sent.papers), 'list')} for {day(for_day)} on the way: {numbers}.")
    if sent.had:
        messages.info(request, f"Had today's already: {', '.join(shop.name for shop in sent.had)}.")
    for reason in sent.refused:
        messages.warning(request, reason)
    return redirect(f"{request.path.removesuffix('send/')}?day={for_day.isoformat()}")


@for_roles(*PLACE)
@require_POST
def seconds_list_paper(request, pk):
    """Issue the list for one shop, to print: the same shelf asked for again today is the same paper."""
    shop, form = get_object_or_404(Shop, pk=pk), ListDayForm(request.POST)
    for_day = _checked(form)
    if for_day is None:
        return _show(request, form, timezone.localdate(), status=422)
    try:
        return redirect(issue_list(shop=shop, for_day=for_day, by=request.user))
    except ValidationError as error:
        messages.warning(request, " ".join(error.messages))
        return redirect("seconds_list")
