"""Pairs counted in, adjusted, regraded; a lot put on another shelf."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from config.roles import for_roles
from inventory.domain.lots import adjust_lot, open_lot, regrade_pairs, shelve_lot
from inventory.faults import NAMES
from inventory.forms.stockroom import AdjustForm, CountInForm, RegradeForm, ShelveForm
from inventory.models import FIRSTS, Candle, Lot
from inventory.views.stockroom import lot_page
from inventory.words import in_pairs

LOTS = Lot.objects.select_related("candle__colour", "shelf")


@for_roles("packer", "dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def count_in(request):
    asked = request.GET.get("candle", "")
    form = CountInForm(request.POST or None, initial={"candle": asked} if asked.isdecimal() else None)
    if request.method == "POST" and form.is_valid():
        fields = {**form.cleaned_data, "code": form.cleaned_data["code"] or None}
        try:
            lot = open_lot(**fields, kind="counted in", by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(
                request, f"Counted in: {in_pairs(lot.on_hand)} of {lot.candle}. Write {lot.code} on them."
            )
            return redirect(lot)
    return _shown(request, "count_in", form, candles=Candle.objects.filter(active=True).exists())


@for_roles("packer", "dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def adjust(request, pk):
    lot = get_object_or_404(LOTS, pk=pk)
    form = AdjustForm(request.POST or None, initial={"seen": lot.on_hand})
    if request.method == "POST" and form.is_valid():
        try:
            movement = adjust_lot(lot=lot, **form.cleaned_data, by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"{movement.kind.capitalize()}: {movement.pairs:+,} pairs of {lot.code}.")
            return redirect(lot)
    lot.refresh_from_db()
    return _shown(request, "adjust", form, lot=lot, seen=lot.on_hand)


@for_roles("packer", "dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def regrade(request, pk):
    lot = get_object_or_404(LOTS.filter(grade=FIRSTS), pk=pk)
    form = RegradeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            seconds = regrade_pairs(lot=lot, **form.cleaned_data, by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(
                request, f"{in_pairs(seconds.on_hand)} of {lot.code} are seconds now. Write {seconds.code} on them."
            )
            return redirect(seconds)
    lot.refresh_from_db()
    return _shown(request, "regrade", form, lot=lot)


@for_roles("packer", "dipper")
@require_POST
def shelve(request, pk):
    lot = get_object_or_404(LOTS, pk=pk)
    form = ShelveForm(request.POST)
    if not form.is_valid():
        return lot_page(request, lot, form, status=422)
    lot = shelve_lot(lot=lot, shelf=form.cleaned_data["shelf"], by=request.user)
    messages.success(request, f"{lot.code} lies on {lot.shelf or 'no shelf'} now.")
    return redirect(lot)


def _shown(request, page, form, **context):
    status = 422 if form.errors else 200
    context = {"form": form, "faults": NAMES, **context}
    return render(request, f"inventory/{page}.html", context, status=status)
