"""Prices agreed with one shop: added, changed and taken back from the shop's page."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from config.roles import for_roles
from inventory.domain.versions import StaleVersion
from inventory.views.set_up_lists import take_stale
from orders.domain.agreed import agree_price, change_agreed, newest_order_at, remove_agreed
from orders.forms.agreed import AgreedForm, AgreedNewForm
from orders.models import AgreedPrice, Shop


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def agreed_new(request, pk: int):
    shop = get_object_or_404(Shop, pk=pk)
    form = AgreedNewForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            row = agree_price(shop=shop, candle=form.cleaned_data["candle"], by=request.user, **form.values)
        except ValidationError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"Agreed with {shop.name}: {row} a pair.")
            return redirect(shop)
    context = {"form": form, "shop": shop, "headline": f"What is agreed with {shop.name}, for which candle?"}
    return render(request, "orders/prices/agreed.html", context, status=422 if form.is_bound else 200)


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def agreed_edit(request, pk: int, agreed_pk: int):
    row = _row(pk, agreed_pk)
    if request.method != "POST":
        return _show(request, row, AgreedForm(instance=row))
    form, theirs = AgreedForm(request.POST, instance=_row(pk, agreed_pk)), []
    if form.is_valid():
        try:
            row = change_agreed(row=row, seen=form.cleaned_data["seen"], by=request.user, **form.values)
        except StaleVersion as stale:
            theirs = take_stale(form, stale, row)
        except ValidationError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"Agreed with {row.shop.name}: {row} a pair.")
            return redirect(row.shop)
    return _show(request, row, form, theirs=theirs, status=422)


@for_roles("owner")
@require_POST
def agreed_remove(request, pk: int, agreed_pk: int):
    row = _row(pk, agreed_pk)
    try:
        remove_agreed(row=row, by=request.user)
    except ValidationError as refused:
        return _show(request, row, AgreedForm(instance=row), refused=refused.messages, status=422)
    messages.success(request, f"The agreed price of {row.candle.code} is taken back.")
    return redirect(row.shop)


def _row(pk: int, agreed_pk: int) -> AgreedPrice:
    return get_object_or_404(AgreedPrice.objects.select_related("shop", "candle"), pk=agreed_pk, shop=pk)


def _show(request, row: AgreedPrice, form: AgreedForm, *, theirs=(), refused=(), status=200):
    used = newest_order_at(row)
    context = {
        "form": form,
        "shop": row.shop,
        "row": row,
        "theirs": theirs,
        "refused": refused,
        "used": used,
        "headline": f"{row.shop.name} pays {row.price} {row.currency} for a pair of {row.candle}.",
    }
    return render(request, "orders/prices/agreed.html", context, status=status)
