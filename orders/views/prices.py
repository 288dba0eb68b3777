"""Set-up: the price lists, shop groups, and what seconds cost."""

from datetime import timedelta

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles
from inventory.domain.versions import StaleVersion
from inventory.views.set_up_lists import SetUpList
from inventory.views.setup import how_many
from inventory.words import day
from orders.domain import agreed
from orders.domain.price_lists import copy_list, newest_order_by, remove_list, save_list
from orders.domain.pricing import seconds_rule
from orders.forms.agreed import SecondsPriceForm, ShopGroupForm
from orders.forms.prices import ListForm, NewListForm
from orders.models import PriceList, SecondsPrice
from orders.price_words import what_comes, who_pays_what
from orders.prices import STERLING, seconds_cost
from orders.queries.prices import candles_of, groups_for_list, known, lists_for_page, standing_of
from orders.tables.prices import BreakTable, CandlePriceTable, PriceListTable, SecondsPriceTable, ShopGroupTable


@for_roles("owner")
@require_safe
def price_lists(request):
    today, rows = timezone.localdate(), list(lists_for_page())
    said = [known(row) for row in rows]
    context = {
        "headline": who_pays_what(said, today),
        "comes": what_comes(said, today),
        "table": PriceListTable(rows, today=today, orderable=False),
    }
    return render(request, "orders/prices/lists.html", context)


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def price_list_new(request):
    if request.method == "POST":
        form = NewListForm(request.POST)
        if form.is_valid():
            try:
                row = copy_list(by=request.user, **form.cleaned_data)
            except ValidationError as refused:
                form.add_error(None, refused)
            else:
                messages.success(
                    request, f"{row} is begun. Look its prices over; it is in force from {day(row.since)}."
                )
                return redirect(row)
    else:
        form = NewListForm(initial=_beginning(request.GET.get("from", "")))
    return render(request, "orders/prices/new.html", {"form": form}, status=422 if form.is_bound else 200)


def _beginning(wanted: str) -> dict:
    """What the form of a new list begins with: a copy of the list asked for, else of the newest one for everybody."""
    since = timezone.localdate() + timedelta(days=1)
    number = int(wanted) if wanted.isascii() and wanted.isdigit() and len(wanted) < 10 else 0
    begun = PriceList.objects.filter(group__isnull=True, since__lt=since)
    source = PriceList.objects.filter(pk=number).first() or begun.first()
    if source is None:
        return {"since": since, "name": f"Trade list {since.year}"}
    return {"since": since, "source": source, "group": source.group_id, "currency": source.currency}


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def price_list(request, pk: int):
    row = get_object_or_404(PriceList.objects.select_related("group"), pk=pk)
    if request.method != "POST":
        return _show(request, row, _form(row))
    form, theirs = _form(row, request.POST), False
    if form.is_valid():
        given = {name: form.cleaned_data[name] for name in ("version", "name", "note", "since")}
        try:
            kept = save_list(row=row, prices=form.prices(), breaks=form.breaks(), by=request.user, **given)
        except StaleVersion as stale:
            form.add_error(None, stale)
            row.refresh_from_db()
            form.see(row)
            theirs = True
        except ValidationError as refused:
            form.refuse(refused)
        else:
            messages.success(request, _kept(row, kept))
            return redirect(kept)
    return _show(request, row, form, theirs=theirs, status=422)


def _kept(row: PriceList, kept: PriceList) -> str:
    if kept.pk == row.pk:
        return f"{kept} is written down."
    return f"{kept} follows from {day(kept.since)}. Orders up to then stay as they were confirmed."


def _form(row: PriceList, data=None) -> ListForm:
    return ListForm(data, row=row, candles=candles_of(row), used=newest_order_by(row))


def _show(request, row: PriceList, form: ListForm, *, theirs=False, refused=(), status=200):
    today, rows = timezone.localdate(), list(lists_for_page())
    context = {
        "row": row,
        "form": form,
        "standing": standing_of(row, rows, today),
        "used": form.used,
        "table": CandlePriceTable(form.bound_candles()),
        "breaks": BreakTable(form.break_rows),
        # What the first of two wrote: their prices where they differ from what was typed here.
        "theirs": _theirs(row, form) if theirs else (),
        "refused": refused,
    }
    return render(request, "orders/prices/list.html", context, status=status)


def _theirs(row: PriceList, form: ListForm) -> list[tuple]:
    """(candle, their price, mine) where they differ."""
    now = dict(row.prices.values_list("candle", "price"))
    typed = form.prices()
    return [
        (one.candle, now.get(one.candle.pk, "none"), typed.get(one.candle.pk, "none"))
        for one in form.candles
        if now.get(one.candle.pk) != typed.get(one.candle.pk)
    ]


@for_roles("owner")
@require_POST
def price_list_delete(request, pk: int):
    row = get_object_or_404(PriceList, pk=pk)
    try:
        remove_list(row=row, by=request.user)
    except ValidationError as refused:
        return _show(request, row, _form(row), refused=refused.messages, status=422)
    messages.success(request, f"{row} is deleted.")
    return redirect("price_lists")


SHOP_GROUPS = SetUpList(
    list_name="shop_groups",
    row_name="shop_group",
    title="Shop groups",
    form=ShopGroupForm,
    table=ShopGroupTable,
    rows=groups_for_list,
    headline=how_many(
        "shop group",
        "shop groups",
        "a list for a group goes before the one for everybody.",
        "No shop group; every shop buys from the same list.",
    ),
    context="A shop is put into a group on its own page.",
)


def _seconds_headline(rows: list[SecondsPrice]) -> str:
    return seconds_cost(seconds_rule(timezone.localdate(), STERLING))


SECONDS_PRICES = SetUpList(
    list_name="seconds_prices",
    row_name="seconds_price",
    title="Seconds' prices",
    form=SecondsPriceForm,
    table=SecondsPriceTable,
    rows=SecondsPrice.objects.all,
    headline=_seconds_headline,
    context="What orders of seconds were confirmed at stays; another price begins on a later day.",
    add=agreed.add_seconds_price,
    change=agreed.change_seconds_price,
    remove=agreed.remove_seconds_price,
)
