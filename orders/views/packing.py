"""The packing bench: what can go, what is in boxes, what waits for the van, and the pick list."""

from urllib.parse import urlencode

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from config.roles import for_roles
from inventory.models import Workshop
from inventory.printing import render_pdf
from inventory.views.lists import PER_PAGE
from inventory.views.paging import RequestConfig
from inventory.views.pdf import pdf_response
from inventory.words import counted, day, in_pairs
from orders.bench import Going, bench_sentence
from orders.domain import packing
from orders.forms.packing import DayLeftForm, StartForm
from orders.models import Order
from orders.models.delivery import PACKED, PACKING
from orders.queries.packing import (
    deliveries,
    picks_for_order,
    picks_for_van,
    ready_orders,
)
from orders.tables.packing import OnBenchTable, PickTable, ReadyTable, WaitingTable, van_label
from orders.views.papers import parse_day


@for_roles("packer")
@require_safe
def packing_bench(request):
    return show_bench(request)


def show_bench(request, *, refusal=(), van_form=None, status: int = 200):
    """The bench; after a refusal with its reason, and with what was typed at one van's form: (van day, form)."""
    today = timezone.localdate()
    ready = ready_orders(today)
    on_bench, waiting = list(deliveries(PACKING)), list(deliveries(PACKED))
    table = ReadyTable(ready, prefix="ready-")
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    next_van = min((row.van_day for row in ready if not row.why), default=None)
    context = {
        "headline": bench_sentence([Going(row.van_day, row.pairs, not row.why) for row in ready], today),
        "refusal": refusal,
        "next_van": next_van,
        "next_van_words": van_label(next_van) if next_van else "",
        "ready": table,
        "on_bench": OnBenchTable(on_bench),
        "on_bench_count": counted(len(on_bench), "delivery is", "deliveries are"),
        "waiting": WaitingTable(waiting),
        "waiting_count": counted(len(waiting), "delivery is", "deliveries are"),
        "vans": _vans(waiting, van_form),
    }
    return render(request, "orders/bench.html", context, status=status)


def _vans(waiting, van_form):
    days = sorted({delivery.van_day for delivery in waiting} | ({van_form[0]} if van_form else set()))
    return [
        {
            "day": van_day,
            "words": day(van_day),
            "form": van_form[1] if van_form and van_form[0] == van_day else _day_form(van_day),
        }
        for van_day in days
    ]


def _day_form(van_day, data=None) -> DayLeftForm:
    # Several of these stand on one page: each field has an id of its own.
    return DayLeftForm(data, auto_id=f"id_%s_{van_day:%Y%m%d}")


@for_roles("packer")
@require_POST
def start_packing(request, number):
    order = get_object_or_404(Order, number=number)
    form = StartForm(request.POST)
    if not form.is_valid():
        return show_bench(request, refusal=form.errors["van_day"], status=422)
    try:
        delivery = packing.start_packing(order=order, by=request.user, van_day=form.cleaned_data["van_day"])
    except ValidationError as error:
        return show_bench(request, refusal=error.messages, status=422)
    return redirect("delivery", delivery.pk)


@for_roles("packer")
@require_POST
def van_day_left(request, day_text):
    van_day = parse_day(day_text)
    form = _day_form(van_day, request.POST)
    gone, refused = _send_van(form, van_day, request.user) if form.is_valid() else ([], [])
    if form.errors:
        return show_bench(request, van_form=(van_day, form), status=422)
    if gone:
        messages.success(request, f"{counted(len(gone), 'delivery', 'deliveries')} left: the stock has moved.")
    else:
        messages.info(request, "Nothing waited for that van any more.")
    for reason in refused:
        messages.warning(request, f"Stays here. {reason}")
    return redirect("packing_bench")


def _send_van(form: DayLeftForm, van_day, by):
    """What left and what stays; where nothing may leave, the reasons stand at the form."""
    try:
        gone, refused = packing.van_day_left(van_day=van_day, on=form.cleaned_data["on"], by=by)
    except ValidationError as error:
        form.add_error(None, error)
        return [], []
    if refused and not gone:
        form.add_error(None, refused)
    return gone, refused


@for_roles("packer")
@require_safe
def pick_list(request):
    found = _picks(request)
    context = {
        **found,
        "table": PickTable(found["picks"]),
        "vans": [(van, van_label(van)) for van in _van_days()],
        "query": urlencode(found["asked"]),
    }
    return render(request, "orders/pick_list.html", context)


@for_roles("packer")
@require_safe
def pick_list_pdf(request):
    context = {
        **_picks(request),
        "workshop": Workshop.objects.first(),
        "made_at": timezone.localtime(),
        "person": request.user,
    }
    return pdf_response(request, render_pdf("print/pick_list.html", context), "pick-list")


def _van_days():
    return sorted({row.van_day for row in ready_orders(timezone.localdate()) if not row.why})


def _picks(request) -> dict:
    """What the address asks for: one order (?order=), else one van (?van=), else the next van."""
    if number := request.GET.get("order"):
        if not number.isdecimal() or len(number) > 9:
            raise Http404("No such order.")
        order = get_object_or_404(Order.objects.select_related("shop"), number=int(number))
        picks, for_what, asked = picks_for_order(order), f"order {order.number}, {order.shop}", {"order": number}
    else:
        today = timezone.localdate()
        van = parse_day(request.GET["van"]) if "van" in request.GET else next(iter(_van_days()), today)
        picks, for_what = picks_for_van(van, today), f"the van {van_label(van)}"
        asked = {"van": van.isoformat()}
    pairs, shelves = sum(pick.pairs for pick in picks), len({pick.shelf for pick in picks})
    sentence = (
        f"{in_pairs(pairs)} to fetch from {counted(shelves, 'shelf', 'shelves')} for {for_what}."
        if picks
        else f"Nothing has to be fetched for {for_what}."
    )
    return {"picks": picks, "for_what": for_what, "asked": asked, "sentence": sentence}
