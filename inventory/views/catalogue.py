"""The catalogue: what the workshop makes. Everybody reads it, the owner writes it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_safe

from config.roles import for_roles
from inventory.domain.catalogue import FIELDS, add_candle, change_candle
from inventory.domain.versions import StaleVersion
from inventory.forms.catalogue import CandleFilter, CandleForm
from inventory.models import Candle
from inventory.pair_svg import draw_pair
from inventory.queries.catalogue import whole_catalogue
from inventory.queries.records import records_of
from inventory.queries.stockroom import all_lots, candles_by_code, with_held
from inventory.tables.catalogue import CandleTable
from inventory.tables.stockroom import LotsOfCandleTable, RecordTable
from inventory.views.lists import listed
from inventory.wax import density_doubts, pair_weight
from inventory.words import counted, in_pairs, measure


@for_roles("packer", "dipper", "bookkeeper")
@require_safe
def candles(request):
    narrowed, table = listed(request, CandleTable, CandleFilter, with_held(candles_by_code(), "free"))
    catalogue = whole_catalogue()
    context = {
        "filter": narrowed,
        "table": table,
        "headline": (
            f"{counted(catalogue['candles'], 'candle')} in the catalogue, of "
            f"{counted(catalogue['waxes'], 'wax', 'waxes')} in {counted(catalogue['colours'], 'colour')}."
        ),
        "gone": catalogue["gone"],
    }
    return render(request, "inventory/candles.html", context)


@for_roles("packer", "dipper", "bookkeeper")
@require_safe
def candle(request, pk):
    candle = get_object_or_404(with_held(candles_by_code(), "firsts", "aside", "free", "seconds"), pk=pk)
    wax = candle.wax
    context = {
        "candle": candle,
        "headline": f"{candle}: {candle.free:,} of {in_pairs(candle.firsts)} of firsts are free.",
        "portrait": _portrait(candle),
        "shape": _shape(candle),
        "weight": pair_weight(candle.length_mm, candle.base_mm, candle.tip_mm, wax.density_solid),
        "doubts": density_doubts(wax.name, wax.density_solid, wax.density_liquid),
        "lots": LotsOfCandleTable(all_lots().filter(candle=candle, on_hand__gt=0)),
        "records": RecordTable(records_of("candle", candle.pk)),
    }
    return render(request, "inventory/candle.html", context)


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def candle_new(request):
    form = CandleForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            candle = add_candle(fields=_fields(form), by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"{candle} is in the catalogue as {candle.code}.")
            return redirect(candle)
    return _form_page(request, form)


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def candle_edit(request, pk):
    candle = get_object_or_404(Candle, pk=pk)
    form = CandleForm(request.POST or None, instance=Candle.objects.get(pk=pk))
    theirs = []
    if request.method == "POST" and form.is_valid():
        try:
            version = form.cleaned_data["version"] or 0
            candle = change_candle(candle=candle, version=version, fields=_fields(form), by=request.user)
        except StaleVersion as stale:
            theirs = _theirs(form, candle)
            form = _with_version(form, candle.version)
            form.add_error(None, stale)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"{candle} is changed.")
            return redirect(candle)
    return _form_page(request, form, candle=candle, theirs=theirs)


def _portrait(candle):
    """The pair drawn as large as a page bears: 0.6 px a mm, a church candle less."""
    shape = {"length_mm": candle.length_mm, "base_mm": candle.base_mm, "tip_mm": candle.tip_mm}
    scale = min(0.6, 280 / float(candle.length_mm))
    return draw_pair(**shape, colour=candle.colour.hex, scale=scale, title=f"A pair of {candle}")


def _shape(candle) -> str:
    return (
        f"{measure(candle.length_mm)} mm long, {measure(candle.base_mm)} mm at the base, "
        f"{measure(candle.tip_mm)} mm at the tip"
    )


def _fields(form) -> dict:
    return {name: form.cleaned_data[name] for name in FIELDS}


def _theirs(form, candle) -> list[tuple[str, str, str]]:
    """Where the book and the form differ: label, what stands in the book, what was typed."""
    pairs = [(form[name], getattr(candle, name), form.cleaned_data[name]) for name in FIELDS]
    return [(field.label, _said(book), _said(typed)) for field, book, typed in pairs if book != typed]


def _with_version(form, version: int) -> CandleForm:
    """The same typing over again, made from the version that stands now: saving once more is then meant."""
    data = form.data.copy()
    data["version"] = version
    return CandleForm(data, instance=Candle.objects.get(pk=form.instance.pk))


def _said(value) -> str:
    return {None: "nothing", "": "nothing"}.get(value, str(value)) if not isinstance(value, bool) else str(value)


def _form_page(request, form, **context):
    status = 422 if form.errors else 200
    return render(request, "inventory/candle_edit.html", {"form": form, **context}, status=status)
