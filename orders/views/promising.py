"""Promising a shop a day, and the paper that tells it so."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from config.roles import for_roles
from inventory.words import day, in_pairs
from orders.domain.acknowledging import acknowledge_order
from orders.domain.promising import promise_date, warning
from orders.forms.promising import AcknowledgeForm, PromiseForm
from orders.models.order import CONFIRMED, DRAFT
from orders.queries.at_risk import ways_to_save_order
from orders.queries.book import entries
from orders.queries.promises import addresses_of
from orders.queries.ready_by import ready_by_order
from orders.ready_words import saving_words, whole_sentence
from orders.tables.promising import ReadyTable, WayTable
from orders.views.order import PLACE, get_order
from orders.views.refusals import refused


@for_roles()
@require_http_methods(["GET", "POST"])
def order_promise(request, number):
    """The owner's word: what the book would promise, line by line, and the day that is promised."""
    order = get_order(number)
    if order.status == DRAFT:
        return redirect("order_entry", number)
    form = PromiseForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            row = promise_date(order=order, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            refused(form, error, version=get_order(number).version)
        else:
            messages.success(request, f"{order.shop} is promised order {number} by {day(row.day)}.")
            if said := warning(row):
                messages.warning(request, said)
            if still_open := entries([get_order(number)])[order.pk].cover.open:
                messages.info(request, f"{in_pairs(still_open)} of it are not planned yet: re-plan for them.")
            return redirect("order", number)
    return _ask_promise(request, order, form, status=422 if request.method == "POST" else 200)


def _ask_promise(request, order, form, status):
    found, today = ready_by_order(order), timezone.localdate()
    if not form.is_bound:
        first = max(found.whole.day or order.ship_by or today, today)
        form = PromiseForm(initial={"version": order.version, "day": first})
    context = {
        "order": order,
        "form": form,
        "headline": whole_sentence(found.whole, today=today, ship_by=order.ship_by, plan=found.plan),
        "table": ReadyTable(found.lines),
        "latest": order.promised_dates.select_related("made_by").first(),
        "may": order.status == CONFIRMED,
    }
    return render(request, "orders/order_promise.html", context, status=status)


@for_roles(*PLACE)
@require_safe
def promise_ways(request, number):
    """What would save a promise at risk, and who would be later by it. As a part of Today it is the cheapest alone."""
    order = get_order(number)
    promise = order.promised_dates.first()
    ways = ways_to_save_order(promise) if promise and order.status == CONFIRMED else []
    said = saving_words(ways) if promise else "No day is promised for it."
    if request.htmx:
        return render(request, "orders/today/_saves.html", {"said": said})
    context = {"order": order, "promise": promise, "headline": said, "table": WayTable(ways or [])}
    return render(request, "orders/promise_ways.html", context)


@for_roles(*PLACE)
@require_http_methods(["GET", "POST"])
def order_acknowledge(request, number):
    order = get_order(number)
    if order.status == DRAFT:
        return redirect("order_entry", number)
    form = AcknowledgeForm(request.POST or None, initial={"to": addresses_of(order)})
    if request.method == "POST":
        form = AcknowledgeForm(request.POST)
        if form.is_valid():
            try:
                paper = acknowledge_order(order=order, to=form.cleaned_data["to"], by=request.user)
            except ValidationError as error:
                refused(form, error, version=order.version)
            else:
                sent = " The letter is on its way." if form.cleaned_data["to"].strip() else ""
                messages.success(request, f"{paper.number} stands among the order's papers.{sent}")
                return redirect("order", number)
    promise = order.promised_dates.first()
    by = f"by {day(promise.day)}" if promise else "but no day is promised yet"
    context = {
        "order": order,
        "form": form,
        "headline": f"Acknowledge order {number} of {order.shop}, {by}?",
        "said": "The paper states what was ordered, at which prices, and the day promised; it never changes.",
        "act": "Acknowledge it",
    }
    return render(request, "orders/order_act.html", context, status=422 if form.is_bound else 200)
