"""Materials: what there is of them, their lots, and deliveries taken in."""

from django.contrib import messages
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles
from inventory.csv_out import csv_response
from inventory.domain.material_lots import adjust_material_lot, price_lot, take_in
from inventory.forms.materials import AdjustLotForm, LotPriceForm, MaterialFilter, TakeInForm
from inventory.material_words import BOUGHT_IN, amount_in_words, material_in_words, stock_in_words
from inventory.models import Material, MaterialLot
from inventory.queries.materials import (
    all_materials,
    drawn_by,
    history_of,
    lots_of,
    materials_in_stock,
    overdue,
    worth_of,
)
from inventory.queries.records import records_of
from inventory.tables.materials import LotHistoryTable, LotsOfMaterialTable, MaterialTable, PurchaseTable
from inventory.tables.stockroom import RecordTable
from inventory.views.lists import PER_PAGE
from inventory.views.paging import RequestConfig

MATERIALS = Material.objects.select_related("supplier", "remelt_of", "remelt_colour")
LOTS = MaterialLot.objects.select_related("material", "supplier")


@for_roles("packer", "dipper")
@require_safe
def materials(request):
    narrowed, table = _listed(request)
    stock = materials_in_stock(all_materials())
    worth = sum(row.worth for row in stock) if request.user.owner else None
    late = [f"{row.material} of {row.supplier}" for row in overdue(timezone.localdate())]
    headline = stock_in_words(len(stock), [row.material.name for row in stock if row.low], late, worth)
    return render(request, "inventory/materials/list.html", {"filter": narrowed, "table": table, "headline": headline})


@for_roles("packer", "dipper")
@require_safe
def materials_csv(request):
    return csv_response(_listed(request)[1], "materials")


def _listed(request):
    narrowed = MaterialFilter(request.GET or {}, queryset=all_materials())
    table = MaterialTable(materials_in_stock(narrowed.qs), exclude=_unless_owner(request))
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    return narrowed, table


def _unless_owner(request) -> tuple[str, ...]:
    """What things cost is the owner's business."""
    return () if request.user.owner else ("worth", "price")


@for_roles("packer", "dipper")
@require_safe
def material(request, pk):
    row = get_object_or_404(MATERIALS, pk=pk)
    stocked, today = materials_in_stock([row])[0], timezone.localdate()
    every = "all" in request.GET
    lots = LotsOfMaterialTable(lots_of(row, every=every), exclude=_unless_owner(request))
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(lots)
    coming = [(purchase.amount, purchase.due_on) for purchase in stocked.coming]
    context = {
        "material": row,
        "stocked": stocked,
        "headline": material_in_words(row.name, row.unit, stocked.on_hand, len(stocked.lots), coming),
        "worth": f"{stocked.worth:,.2f}",
        "keep": amount_in_words(row.keep, row.unit) if row.keep else "",
        "pack": amount_in_words(row.pack, row.unit) if row.pack else "",
        "draws": drawn_by(row),
        "lots": lots,
        "every": every,
        "purchases": PurchaseTable(stocked.coming, today=today, orderable=False, exclude=_unless_owner(request)),
        "records": RecordTable(records_of("material", row.pk)[:PER_PAGE]),
    }
    return render(request, "inventory/materials/material.html", context)


@for_roles("packer", "dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def material_in(request, pk):
    row = get_object_or_404(MATERIALS.filter(remelt_of=None), pk=pk)
    form = TakeInForm(request.POST or None, material=row, prices=request.user.owner)
    if request.method == "POST" and form.is_valid():
        try:
            lot = take_in(material=row, by=request.user, **form.cleaned_data)
        except ValidationError as refused:
            put_refusal(form, refused)
        else:
            messages.success(
                request, f"{amount_in_words(lot.amount, row.unit)} of {row} taken in. Write {lot.code} on them."
            )
            return redirect(lot)
    context = {"form": form, "material": row}
    return render(request, "inventory/materials/take_in.html", context, status=422 if form.errors else 200)


@for_roles("packer", "dipper")
@require_safe
def material_lot(request, pk):
    return lot_page(request, get_object_or_404(LOTS, pk=pk))


def lot_page(request, lot: MaterialLot, price_form=None, status=200):
    """The page of one lot; with a refused form in it where there is one."""
    history = LotHistoryTable(history_of(lot))
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(history)
    unit = lot.material.unit
    name, size = BOUGHT_IN[unit]
    context = {
        "lot": lot,
        "there": amount_in_words(lot.on_hand, unit),
        "came": amount_in_words(lot.amount, unit),
        "worth": f"{worth_of(lot):,.2f}",
        "a_unit": f"{lot.price_a_unit * size:,.3f} a {name.removesuffix('s')}",
        "history": history,
        "records": RecordTable(records_of("material lot", lot.pk)),
        "form": price_form or LotPriceForm(initial={"price": lot.price}),
    }
    return render(request, "inventory/materials/lot.html", context, status=status)


@for_roles("owner")
@require_POST
def material_lot_price(request, pk):
    lot = get_object_or_404(LOTS, pk=pk)
    form = LotPriceForm(request.POST)
    if form.is_valid():
        try:
            lot = price_lot(lot=lot, price=form.cleaned_data["price"], by=request.user)
        except ValidationError as refused:
            put_refusal(form, refused)
        else:
            messages.success(request, f"{lot} cost £{lot.price:,.2f}.")
            return redirect(lot)
    return lot_page(request, lot, form, status=422)


@for_roles("packer", "dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def material_adjust(request, pk):
    lot = get_object_or_404(LOTS, pk=pk)
    form = AdjustLotForm(request.POST or None, lot=lot)
    if request.method == "POST" and form.is_valid():
        try:
            moved = adjust_material_lot(lot=lot, by=request.user, **form.cleaned_data)
        except ValidationError as refused:
            put_refusal(form, refused)
        else:
            way = "more" if moved.amount > 0 else "less"
            how_much = amount_in_words(abs(moved.amount), lot.material.unit)
            messages.success(request, f"{moved.kind.capitalize()}: {how_much} {way} in {lot}.")
            return redirect(lot)
    lot.refresh_from_db()
    context = {"form": form, "lot": lot, "there": amount_in_words(lot.on_hand, lot.material.unit)}
    return render(request, "inventory/materials/adjust.html", context, status=422 if form.errors else 200)


def put_refusal(form, refused: ValidationError) -> None:
    """Put the domain's refusal at its fields; what belongs to none of them stands at the head."""
    if not hasattr(refused, "error_dict"):
        form.add_error(None, refused)
        return
    for name, errors in refused.error_dict.items():
        form.add_error(name if name in form.fields and name != NON_FIELD_ERRORS else None, errors)
