"""Changing a confirmed order: its header, one candle more, other pairs, another colour."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from config.roles import for_roles
from inventory.models import Candle
from inventory.words import in_pairs
from orders.domain import changing
from orders.domain.other_colour import put_other_colour
from orders.forms.changes import AddLineForm, ChangeHeaderForm
from orders.forms.promises import ChangePairsForm, OtherColourForm
from orders.models import OrderLine
from orders.models.order import DRAFT
from orders.views.order import get_order
from orders.views.refusals import refused

TAKES_ORDERS = ("packer", "bookkeeper")


def get_line(pk: int) -> OrderLine:
    return get_object_or_404(OrderLine.objects.select_related("order__shop", "candle__colour"), pk=pk)


@for_roles(*TAKES_ORDERS)
@require_http_methods(["GET", "POST"])
def order_header(request, number):
    """Their reference, ship-by date, address and notes."""
    order, theirs = get_order(number), []
    if order.status == DRAFT:
        return redirect("order_entry", number)
    form = ChangeHeaderForm(order=order)
    if request.method == "POST":
        form = ChangeHeaderForm(request.POST, order=order)
        if form.is_valid():
            try:
                changing.change_header(order=order, by=request.user, **form.cleaned_data)
            except ValidationError as error:
                fresh = get_order(number)
                theirs = refused(form, error, row=fresh, version=fresh.version)
            else:
                messages.success(request, f"Order {number} is changed.")
                return redirect("order", number)
    context = {
        "order": order,
        "form": form,
        "theirs": theirs,
        "headline": f"When and where does order {number} of {order.shop} go?",
        "said": "The wants on the dip list follow the ship-by date.",
        "act": "Save",
    }
    return render(request, "orders/order_act.html", context, status=422 if form.is_bound else 200)


@for_roles(*TAKES_ORDERS)
@require_http_methods(["GET", "POST"])
def order_add(request, number):
    """One candle more."""
    order = get_order(number)
    if order.status == DRAFT:
        return redirect("order_entry", number)
    form = AddLineForm(initial={"version": order.version})
    if request.method == "POST":
        form = AddLineForm(request.POST)
        if form.is_valid():
            try:
                line = changing.add_line(order=order, by=request.user, **form.cleaned_data)
            except ValidationError as error:
                refused(form, error, version=get_order(number).version)
            else:
                messages.success(request, f"{in_pairs(line.pairs)} of {line.candle} added, at {line.price} a pair.")
                return redirect("order", number)
    context = {
        "order": order,
        "form": form,
        "headline": f"What else does {order.shop.name} want on order {number}?",
        "said": "At today's price, under the order's own discount.",
        "act": "Add it",
    }
    return render(request, "orders/order_act.html", context, status=422 if form.is_bound else 200)


@for_roles(*TAKES_ORDERS)
@require_http_methods(["GET", "POST"])
def order_change(request, pk):
    """Other pairs on one line."""
    line = get_line(pk)
    order, theirs = line.order, []
    if order.status == DRAFT:
        return redirect("order_entry", order.number)
    form = ChangePairsForm(initial={"pairs": line.pairs, "version": order.version})
    if request.method == "POST":
        form = ChangePairsForm(request.POST)
        if form.is_valid():
            try:
                changed = changing.change_pairs(line=line, by=request.user, **form.cleaned_data)
            except ValidationError as error:
                fresh = get_line(pk)
                theirs = refused(form, error, row=fresh, version=fresh.order.version)
            else:
                messages.success(request, f"{line.candle}: now {in_pairs(changed.pairs)}.")
                return redirect("order", order.number)
    context = {
        "order": order,
        "form": form,
        "theirs": theirs,
        "headline": f"How many pairs of {line.candle} does order {order.number} want?",
        "said": f"{in_pairs(line.pairs)} now: {line.sent} sent, {line.set_aside} set aside. Fewer frees the newest "
        "lot first; nought strikes the line out.",
        "act": "Change the pairs",
    }
    return render(request, "orders/order_act.html", context, status=422 if form.is_bound else 200)


@for_roles(*TAKES_ORDERS)
@require_POST
def other_colour(request, pk):
    """Put pairs of another colour on the order in place of open ones."""
    line = get_line(pk)
    form = OtherColourForm(request.POST)
    if not form.is_valid():
        messages.error(request, "Nothing was changed: choose the colour on the order's page once more.")
        return redirect("order", line.order.number)
    asked = form.cleaned_data
    candle = get_object_or_404(Candle, pk=asked["candle"])
    try:
        put_other_colour(line=line, candle=candle, pairs=asked["pairs"], version=asked["version"], by=request.user)
    except ValidationError as error:
        messages.error(request, f"Nothing was changed. {' '.join(error.messages)}")
    else:
        messages.success(
            request,
            f"{in_pairs(asked['pairs'])} of {candle} ordered in place of {line.candle}. Set them aside to keep them.",
        )
    return redirect("order", line.order.number)
