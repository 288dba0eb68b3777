"""One promise at a time: releasing it, taking it over, and who holds a lot."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from config.roles import for_roles
from inventory.models import Lot
from inventory.words import day, in_pairs
from orders.domain.holding import open_pairs
from orders.domain.releasing import release_promise, take_over
from orders.forms.promises import ReleaseForm, TakeOverForm
from orders.models import Order, SetAside
from orders.models.order import CONFIRMED
from orders.queries.order_page import holders_of, left_from, takeable
from orders.queries.seconds_boxes import boxes_holding
from orders.seconds_words import holders_sentence
from orders.tables.order_page import HolderTable, LeftTable, TakeOverTable
from orders.views.changes import get_line
from orders.views.refusals import refused

GONE = "These pairs are no longer set aside there: somebody sent, released or took them over."


def _version(order: Order) -> int:
    return Order.objects.values_list("version", flat=True).get(pk=order.pk)


@for_roles("packer")
@require_http_methods(["GET", "POST"])
def release(request, line, pk):
    line = get_line(line)
    order, promise = line.order, line.promises.select_related("lot").filter(pk=pk).first()
    if promise is None:
        messages.warning(request, GONE)
        return redirect("order", order.number)
    promise.line, unpacked = line, promise.pairs - promise.packed
    form = ReleaseForm(initial={"pairs": unpacked, "version": order.version})
    if request.method == "POST":
        form = ReleaseForm(request.POST)
        if form.is_valid():
            try:
                release_promise(promise=promise, by=request.user, **form.cleaned_data)
            except ValidationError as error:
                refused(form, error, version=_version(order))
            else:
                messages.success(
                    request, f"{in_pairs(form.cleaned_data['pairs'])} of {promise.lot.code} are free again."
                )
                return redirect("order", order.number)
    context = {
        "order": order,
        "form": form,
        "headline": f"Release pairs of {promise.lot.code} from order {order.number}, {order.shop}?",
        "said": f"{in_pairs(promise.pairs)} of {line.candle} are set aside from this lot, {promise.packed} packed.",
        "act": "Release them",
    }
    return render(request, "orders/order_act.html", context, status=422 if form.is_bound else 200)


@for_roles("packer")
@require_safe
def take_over_list(request, pk):
    """Which orders hold pairs this line could take over."""
    line = get_line(pk)
    table = TakeOverTable(takeable(line), line=line)
    context = {"line": line, "order": line.order, "table": table, "open": open_pairs(line)}
    return render(request, "orders/take_over.html", context)


@for_roles("packer")
@require_http_methods(["GET", "POST"])
def take_over_from(request, pk, promise):
    """The confirmation: the order that gives is named, with what it costs it."""
    line = get_line(pk)
    promise = SetAside.objects.select_related("lot", "line__order__shop").filter(pk=promise).first()
    if promise is None:
        messages.warning(request, GONE)
        return redirect("take_over", pk)
    giver, most = promise.line.order, min(promise.pairs - promise.packed, open_pairs(line))
    form = TakeOverForm(initial={"pairs": most, "version": giver.version})
    if request.method == "POST":
        form = TakeOverForm(request.POST)
        if form.is_valid():
            try:
                take_over(from_promise=promise, to_line=line, by=request.user, **form.cleaned_data)
            except ValidationError as error:
                refused(form, error, version=_version(giver))
            else:
                pairs = in_pairs(form.cleaned_data["pairs"])
                messages.success(request, f"{pairs} of {promise.lot.code} taken over from order {giver.number}.")
                return redirect("order", line.order.number)
    context = {
        "order": line.order,
        "form": form,
        "headline": f"Take pairs of {promise.lot.code} away from order {giver.number}, {giver.shop}?",
        "said": _what_it_costs(promise, giver),
        "act": f"Take them over from order {giver.number}",
    }
    return render(request, "orders/order_act.html", context, status=422 if form.is_bound else 200)


def _what_it_costs(promise: SetAside, giver: Order) -> str:
    unpacked = in_pairs(promise.pairs - promise.packed)
    whole = (
        " It takes complete deliveries only, so it cannot go until they are made up." if giver.complete_only else ""
    )
    return f"Order {giver.number} is due on {day(giver.ship_by)} and has {unpacked} of this lot not yet packed.{whole}"


@for_roles("packer", "bookkeeper")
@require_safe
def lot_holders(request, pk):
    lot = get_object_or_404(Lot.objects.select_related("candle__colour", "shelf"), pk=pk)
    holders, boxed = list(holders_of(lot)), boxes_holding(lot)
    orders = {promise.line.order_id for promise in holders if promise.line.order.status == CONFIRMED}
    promised = sum(promise.pairs for promise in holders)
    context = {
        "lot": lot,
        "boxed": boxed,
        "headline": holders_sentence(
            lot.code, on_hand=lot.on_hand, promised=promised, orders=len(orders),
            boxed=sum(one.pairs for one in boxed), boxes=len(boxed),
        ),
        "holders": HolderTable(holders),
        "left": LeftTable(left_from(lot)),
    }  # fmt: skip
    return render(request, "orders/lot_holders.html", context)
