"""An order's page: its whole story, and what can be done with it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.middleware.csrf import get_token
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles, works_as
from inventory.views.paging import RequestConfig
from inventory.words import in_pairs
from orders.carriage import in_words
from orders.domain.changing import cancel_order
from orders.domain.pricing import carriage_rule, goods_of
from orders.domain.releasing import release_order as release_whole_order
from orders.domain.setting_aside import set_aside_order as set_aside_whole_order
from orders.domain.shop_links import address_of
from orders.forms.promises import CancelForm, ReleaseOrderForm
from orders.models import Order
from orders.models.delivery import PACKED, PACKING
from orders.models.order import CONFIRMED, DRAFT
from orders.packable import why_not_packed, why_not_sent
from orders.prices import below_minimum
from orders.queries.book import entries
from orders.queries.credit import over_limit
from orders.queries.order_page import deliveries_of, fill_of, records_of_order, story_of_lines
from orders.queries.promises import acknowledgements_of
from orders.queries.shop_links import standing_link
from orders.standing import order_sentence
from orders.tables.line_cells import LineCells
from orders.tables.order_page import DeliveryTable, LineTable, StoryTable
from orders.views.refusals import refused

PLACE = ("packer", "bookkeeper")
STORY_ROWS = 15


def get_order(number: int) -> Order:
    return get_object_or_404(
        Order.objects.select_related("shop", "deliver_to", "made_by", "came_as__form"), number=number
    )


@for_roles(*PLACE)
@require_safe
def order(request, number):
    order = get_order(number)
    if order.status == DRAFT:
        return redirect("order_entry", order.number)
    stories = story_of_lines(order)
    entry, sums = entries([order], fill_of(order, stories))[order.pk], _ready_and_owed(stories)
    rights = {
        "may_change": _open(order),
        "may_set_aside": _open(order) and works_as(request.user, "packer"),
        "sees_plan": works_as(request.user, "dipper"),
    }
    deliveries = list(deliveries_of(order))
    delivery_table = DeliveryTable(deliveries)
    if not works_as(request.user, "bookkeeper"):
        delivery_table.columns.hide("invoice")
    story = StoryTable(records_of_order(order, deliveries))
    RequestConfig(request, paginate={"per_page": STORY_ROWS}).configure(story)
    context = {
        "order": order,
        "headline": order_sentence(order.number, order.shop.name, order.ship_by, entry.standing, timezone.localdate()),
        "cover": entry.cover,
        "lines": LineTable(stories, LineCells(order, get_token(request), **rights)),
        "carriage": in_words(carriage_rule(order)),
        "too_small": below_minimum(goods_of(order, [story.line for story in stories]), order.minimum_order),
        "deliveries": delivery_table,
        "has_deliveries": bool(deliveries),
        "story": story,
        "on_bench": next((d for d in deliveries if d.state in (PACKING, PACKED)), None),
        "free": any(line.free for line in stories),
        **_promised(order),
        **_link(order),
        "may_promise": _open(order) and works_as(request.user, "owner"),
        "unpacked": sums["ready"],
        "may_release": _may_release(stories),
        "may_ask": rights["may_change"] and works_as(request.user, "bookkeeper"),
        "why_not_packed": _why_not_packed(order, sums),
        **rights,
    }
    return render(request, "orders/order.html", context)


def _promised(order: Order) -> dict:
    """The day promised last, and the papers that acknowledge it: there is none before a day is promised."""
    promise = order.promised_dates.select_related("made_by").first()
    return {"promise": promise, "acknowledged": promise and acknowledgements_of(order).only("number")}


def _why_not_packed(order: Order, sums: dict[str, int]) -> str:
    """What the shop owes is asked for only where it is what could be in the way."""
    over = bool(sums["ready"]) and not why_not_sent(order) and over_limit(order.shop)
    return why_not_packed(order, **sums, over_limit=over)


def _link(order: Order) -> dict:
    """The shop's own view of it, if a link is out."""
    link = standing_link(order)
    return {"shop_link": link, "shop_link_address": address_of(link) if link else ""}


def _ready_and_owed(stories) -> dict[str, int]:
    """Pairs set aside and in no box, and pairs neither sent nor in a box."""
    promises = [promise for story in stories for promise in story.promises]
    packed = sum(promise.packed for promise in promises)
    return {
        "ready": sum(promise.pairs for promise in promises) - packed,
        "owed": sum(story.line.pairs - story.line.sent for story in stories) - packed,
    }


def _may_release(stories) -> bool:
    """Whether pairs are set aside that lie in no box, neither packed nor of seconds."""
    singly = [promise for story in stories if not story.line.seconds_box_id for promise in story.promises]
    return any(promise.pairs > promise.packed for promise in singly)


def _open(order: Order) -> bool:
    return order.status == CONFIRMED


@for_roles("packer")
@require_POST
def set_aside_order(request, number):
    order = get_order(number)
    if not _open(order):
        messages.warning(request, f"Order {number} is {order.status}: nothing is set aside for it.")
    else:
        messages.success(request, set_aside_whole_order(order=order, by=request.user).in_words())
    return redirect("order", number)


@for_roles("packer")
@require_http_methods(["GET", "POST"])
def release_order(request, number):
    order = get_order(number)
    if request.method == "GET":
        return _ask_release(request, order, ReleaseOrderForm(initial={"version": order.version}))
    form = ReleaseOrderForm(request.POST)
    if form.is_valid():
        try:
            pairs = release_whole_order(order=order, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            refused(form, error, version=get_order(number).version)
        else:
            said = f"{in_pairs(pairs)} are free again." if pairs else "Nothing was set aside that is not packed."
            messages.success(request, said)
            return redirect("order", number)
    return _ask_release(request, order, form, status=422)


def _ask_release(request, order, form, status=200):
    cover = entries([order])[order.pk].cover
    context = {
        "order": order,
        "form": form,
        "headline": f"Release what is set aside for order {order.number}, {order.shop}?",
        "said": f"{in_pairs(cover.set_aside)} are set aside; those already in a box stay. The others are free for "
        "whoever comes next.",
        "act": "Release all that is not packed",
    }
    return render(request, "orders/order_act.html", context, status=status)


@for_roles(*PLACE)
@require_http_methods(["GET", "POST"])
def order_cancel(request, number):
    order = get_order(number)
    if order.status == DRAFT:
        return redirect("order_entry", number)
    if request.method == "GET":
        return _ask_cancel(request, order, CancelForm(initial={"version": order.version}))
    form = CancelForm(request.POST)
    if form.is_valid():
        try:
            cancelled = cancel_order(order=order, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            refused(form, error, version=get_order(number).version)
        else:
            messages.success(request, f"Order {number} is {cancelled.status}; what was set aside is free again.")
            return redirect("order", number)
    return _ask_cancel(request, order, form, status=422)


def _ask_cancel(request, order, form, status=200):
    cover = entries([order])[order.pk].cover
    left = f" {in_pairs(cover.sent)} have left already: only the rest is called off." if cover.sent else ""
    context = {
        "order": order,
        "form": form,
        "headline": f"Call off order {order.number} of {order.shop}?",
        "said": f"{in_pairs(cover.set_aside)} set aside go back to the free stock, and nothing of it stays on the dip "
        f"list.{left}",
        "act": "Call the order off",
    }
    return render(request, "orders/order_act.html", context, status=status)
