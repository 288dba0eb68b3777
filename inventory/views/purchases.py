"""Orders of material: made, come, called off."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles
from inventory.domain.buying import call_off, order_material, purchase_came
from inventory.forms.materials import CallOffForm, CameForm, OrderForm, PurchaseFilter
from inventory.material_words import amount_in_words, overdue_words, purchases_in_words
from inventory.models import Material, Purchase
from inventory.queries.materials import purchases as all_purchases
from inventory.tables.materials import PurchaseTable
from inventory.views.lists import listed
from inventory.views.materials import put_refusal
from inventory.words import day


@for_roles("packer", "dipper")
@require_safe
def purchases(request):
    today = timezone.localdate()
    exclude = () if request.user.owner else ("price",)
    narrowed, table = listed(request, PurchaseTable, PurchaseFilter, all_purchases(), today=today, exclude=exclude)
    under_way = all_purchases().filter(state=Purchase.UNDER_WAY)
    rows = [(f"{row.material} of {row.supplier}", row.due_on) for row in under_way]
    context = {"filter": narrowed, "table": table, "headline": purchases_in_words(rows, today)}
    return render(request, "inventory/materials/purchases.html", context)


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def purchase_new(request, pk):
    material = get_object_or_404(Material.objects.select_related("supplier").filter(remelt_of=None), pk=pk)
    form = OrderForm(request.POST or None, material=material)
    if request.method == "POST" and form.is_valid():
        try:
            purchase = order_material(material=material, by=request.user, **form.cleaned_data)
        except ValidationError as refused:
            put_refusal(form, refused)
        else:
            amount = amount_in_words(purchase.amount, material.unit)
            messages.success(
                request, f"{amount} of {material} on order of {purchase.supplier}, expected on {day(purchase.due_on)}."
            )
            return redirect(material)
    context = {"form": form, "material": material}
    return render(request, "inventory/materials/order.html", context, status=422 if form.errors else 200)


@for_roles("packer", "dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def purchase(request, pk):
    row = get_object_or_404(all_purchases(), pk=pk)
    form = CameForm(request.POST or None, purchase=row, prices=request.user.owner)
    if request.method == "POST" and form.is_valid():
        try:
            lot = purchase_came(purchase=row, by=request.user, **form.cleaned_data)
        except ValidationError as refused:
            put_refusal(form, refused)
        else:
            messages.success(
                request,
                f"{amount_in_words(lot.amount, row.material.unit)} of {row.material} came. Write {lot.code} on them.",
            )
            return redirect(lot)
    return _page(request, pk, form, CallOffForm(initial={"version": row.version}, auto_id="id_off_%s"))


@for_roles("owner")
@require_POST
def purchase_call_off(request, pk):
    row = get_object_or_404(all_purchases(), pk=pk)
    form = CallOffForm(request.POST, auto_id="id_off_%s")
    if form.is_valid():
        try:
            row = call_off(purchase=row, by=request.user, **form.cleaned_data)
        except ValidationError as refused:
            put_refusal(form, refused)
        else:
            messages.success(request, f"The order of {row.material} is called off.")
            return redirect("purchases")
    return _page(request, pk, CameForm(purchase=row, prices=True), form)


def _page(request, pk: int, came: CameForm, off: CallOffForm):
    row = all_purchases().get(pk=pk)
    status = 422 if came.errors or off.errors else 200
    if status == 422:
        # A form sent again is meant for the order as it stands now.
        for form in (came, off):
            if form.is_bound:
                form.data = form.data.copy()
                form.data["version"] = row.version
    context = {
        "purchase": row,
        "amount": amount_in_words(row.amount, row.material.unit),
        "stands": overdue_words(row.due_on, timezone.localdate()),
        "came": came,
        "off": off,
    }
    return render(request, "inventory/materials/purchase.html", context, status=status)
