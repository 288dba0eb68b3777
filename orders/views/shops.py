"""The shops: finding one, its page, its terms."""

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from config.roles import for_roles, works_as
from inventory.queries.records import records_of
from inventory.views.paging import RequestConfig
from orders.carriage import in_words
from orders.domain.pricing import carriage_rule
from orders.domain.shops import add_shop, change_shop, fields_open_to
from orders.forms.shops import MoneyForm, ShopFilter, ShopForm, ShopNewForm
from orders.models import Shop
from orders.queries.credit import credit_of
from orders.queries.prices import agreed_of, prices_in_words
from orders.queries.shops import orders_of, shops_for_list
from orders.tables.order_page import StoryTable
from orders.tables.prices import AgreedTable
from orders.tables.shops import AddressTable, ContactTable, ShopOrdersTable, ShopPapersTable, ShopTable
from orders.views.entry import PLACE as ORDER_ENTRY
from orders.views.stale import refuse

NEWEST = 15  # rows of each table on a shop's page; the whole lies one link away
PER_PAGE = 50


@for_roles("packer", "bookkeeper")
@require_safe
def shops(request):
    filtered = ShopFilter(request.GET, queryset=shops_for_list())
    table = ShopTable(filtered.qs)
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    served = Shop.objects.filter(active=True)
    context = {
        "filter": filtered,
        "table": table,
        "found": table.paginator.count,
        "served": served.count(),
        "stopped": served.filter(on_stop=True).count(),
        "may_add": request.user.owner,
    }
    part = request.htmx and not request.htmx.history_restore_request
    return render(request, "orders/shops_found.html" if part else "orders/shops.html", context)


@for_roles("packer", "bookkeeper")
@require_safe
def shop(request, pk):
    shop = get_object_or_404(Shop.objects.select_related("group"), pk=pk)
    may_edit = bool(fields_open_to(request.user))
    sees_money = works_as(request.user, "bookkeeper")
    papers = shop.papers.select_related("cancellation").order_by("-issued_at", "-pk")
    if not sees_money:
        papers = papers.exclude(kind="invoice")
    context = {
        "shop": shop,
        "addresses": AddressTable(shop.addresses.all(), exclude=() if request.user.owner else ("act",)),
        "contacts": ContactTable(shop.contacts.all(), exclude=() if may_edit else ("act",)),
        "orders": ShopOrdersTable(orders_of(shop)[:NEWEST]),
        "open_orders": shop.orders.filter(status="confirmed").count(),
        "papers": ShopPapersTable(papers[:NEWEST]),
        "credit": credit_of(shop, timezone.localdate()) if sees_money else None,
        "story": StoryTable(records_of("shop", pk)[:NEWEST]),
        "pays": prices_in_words(shop, timezone.localdate()),
        "carriage": in_words(carriage_rule(shop)),
        "agreed": AgreedTable(
            agreed_of(shop), shop=shop, today=timezone.localdate(), exclude=() if request.user.owner else ("act",)
        ),
        "may_edit": may_edit,
        "may_order": works_as(request.user, *ORDER_ENTRY),
        "submission": uuid.uuid4(),
        "owner": request.user.owner,
    }
    return render(request, "orders/shop.html", context)


@for_roles("owner")
@require_http_methods(["GET", "POST"])
def shop_new(request):
    form = ShopNewForm(request.POST or None)
    status = 200
    if request.method == "POST":
        form = ShopNewForm(request.POST)
        if form.is_valid():
            try:
                made = add_shop(fields=form.fields_typed, by=request.user)
            except ValidationError as error:
                form.add_error(None, error)
            else:
                messages.success(request, f"{made} is in the book. Now say where its parcels go.")
                return redirect("address_new", made.pk)
        status = 422
    context = {"form": form, "headline": "A new shop: who are they, and on what terms?"}
    return render(request, "orders/shop_edit.html", context, status=status)


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def shop_edit(request, pk):
    shop = get_object_or_404(Shop, pk=pk)
    kind = ShopForm if request.user.owner else MoneyForm
    context = {
        "shop": shop,
        "headline": f"On what terms does {shop.name} buy?",
        "back": shop.get_absolute_url(),
        "whole": request.user.owner,
    }
    if request.method == "GET":
        context["form"] = kind(instance=shop, initial={"version": shop.version})
        return render(request, "orders/shop_edit.html", context)
    form = context["form"] = kind(request.POST, instance=Shop.objects.get(pk=pk))
    if form.is_valid():
        try:
            shop = change_shop(
                shop=shop, version=form.cleaned_data["version"], fields=form.fields_typed, by=request.user
            )
        except ValidationError as error:
            context["theirs"] = refuse(form, error, row=shop, version=shop.version)
        else:
            messages.success(request, f"{shop.name} is saved. Orders already confirmed keep their terms.")
            return redirect(shop)
    return render(request, "orders/shop_edit.html", context, status=422)
