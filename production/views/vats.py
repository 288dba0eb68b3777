"""Vats: the list, one vat with its log, and what is read and done there. Dippers log; the owner sets up."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles
from inventory.domain.versions import StaleVersion
from inventory.queries.records import records_of
from inventory.tables.stockroom import RecordTable
from inventory.views.lists import PER_PAGE
from inventory.views.paging import RequestConfig
from inventory.views.set_up_lists import take_stale
from inventory.words import counted, measure
from production.domain import vats as domain
from production.domain.vat_set_up import add_vat, change_vat, remove_vat
from production.forms import vats as forms
from production.heat import ALWAYS
from production.models import Vat, WaxHeat
from production.queries.vats import at_clock, cautions_at, log_of, read_today, vats_as_read, wanted_kg, wanted_kwh
from production.tables.vats import LogTable, VatTable

LONGEST_LOG = 25  # rows a page of a vat's log

# What a dipper does at a vat: its form, the domain function, the field it fills, what is said when it is done.
DOINGS = {
    "heat": (forms.HeatForm, domain.read_heat, "{vat} is at {celsius} C."),
    "level": (forms.LevelForm, domain.read_level, "{vat}: the wax stands {level_mm} mm below the rim."),
    "top_up": (forms.TopUpForm, domain.top_up, "{kilograms} kg went into {vat}."),
    "thermostat": (forms.ThermostatForm, domain.set_thermostat, "{vat}: the thermostat stands at {celsius} C."),
}


@for_roles("dipper")
@require_safe
def vats(request):
    rows = vats_as_read()
    table = VatTable(rows)
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    context = {"table": table, "headline": _all_in_words(list(rows)), "limits": WaxHeat.objects.exists()}
    return render(request, "production/vats.html", context)


@for_roles("dipper")
@require_safe
def vat(request, pk: int):
    return _vat_page(request, get_object_or_404(vats_as_read(), pk=pk))


@for_roles("dipper")
@require_POST
def vat_doing(request, pk: int, doing: str):
    """Heat, level, top-up or thermostat. A refused one shows the vat's page with what was typed."""
    row = get_object_or_404(Vat, pk=pk)
    form_class, do, said = DOINGS[doing]
    form = form_class(request.POST, prefix=doing)
    if form.is_valid():
        given = form.cleaned_data
        once = {"tap": given.pop("submission")} if "submission" in given else {}
        try:
            do(vat=row, **given, **once, by=request.user)
        except ValidationError as refused:
            form.add_error(None, _at_field(form, refused))
        else:
            figures = {name: measure(value) for name, value in given.items() if name != "note"}
            messages.success(request, said.format(vat=row, **figures))
            _warn(request, pk)
            return redirect(row)
    return _vat_page(request, get_object_or_404(vats_as_read(), pk=pk), **{doing: form})


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def vat_change_over(request, pk: int):
    row = get_object_or_404(Vat.objects.select_related("wax", "colour"), pk=pk)
    form = forms.ChangeOverForm(request.POST or None, vat=row)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            domain.change_over(
                vat=row, version=given["version"], values=form.values, by=request.user, tap=given["submission"]
            )
        except StaleVersion as stale:
            form.data = {**form.data.dict(), "version": row.version}
            form.add_error(None, stale)
        except ValidationError as refused:
            form.add_error(None, _at_field(form, refused))
        else:
            messages.success(request, f"{row} holds {given['wax']} in {given['colour'].name.lower()} now.")
            return redirect(row)
    context = {"vat": row, "form": form, "always": ALWAYS}
    return render(request, "production/vat_change_over.html", context, status=422 if form.is_bound else 200)


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def vat_new(request):
    form = forms.NewVatForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            row = add_vat(values=form.values, by=request.user)
        except ValidationError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"{row} is set up, reckoned full.")
            return redirect(row)
    context = {"form": form, "headline": "What is the new vat like?", "always": ALWAYS}
    return render(request, "production/vat_edit.html", context, status=422 if form.is_bound else 200)


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def vat_edit(request, pk: int):
    row, theirs = get_object_or_404(Vat, pk=pk), []
    form = forms.VatForm(request.POST or None, instance=Vat.objects.get(pk=pk))
    if request.method == "POST" and form.is_valid():
        try:
            change_vat(vat=row, version=form.cleaned_data["version"] or 0, values=form.values, by=request.user)
        except StaleVersion as stale:
            theirs = take_stale(form, stale, row)
        except ValidationError as refused:
            form.refuse(refused)
        else:
            messages.success(request, f"{form.values['name']} is changed.")
            return redirect(row)
    context = {"form": form, "vat": row, "headline": f"What is {row} like?", "theirs": theirs, "always": ALWAYS}
    return render(request, "production/vat_edit.html", context, status=422 if form.is_bound else 200)


@for_roles("owner")
@require_POST
def vat_delete(request, pk: int):
    row = get_object_or_404(Vat, pk=pk)
    try:
        remove_vat(vat=row, by=request.user)
    except ValidationError as refused:
        context = {"form": forms.VatForm(instance=row), "vat": row, "headline": f"{row} stays."}
        context |= {"refused": refused.messages, "always": ALWAYS}
        return render(request, "production/vat_edit.html", context, status=422)
    messages.success(request, f"Vat {row} is deleted.")
    return redirect("vats")


def _vat_page(request, row: Vat, **bound):
    start = {"thermostat": {"celsius": row.set_c}}
    made = {name: kind[0](prefix=name, initial=start.get(name)) for name, kind in DOINGS.items()} | bound
    log = LogTable(log_of(row))
    RequestConfig(request, paginate={"per_page": LONGEST_LOG}).configure(log)
    context = {
        "vat": row,
        "headline": _in_words(row),
        "cautions": cautions_at(row).all,
        "always": ALWAYS,
        "wants": wanted_kg(row),
        "heat_kwh": wanted_kwh(row),
        "forms": made,
        "log": log,
        "records": RecordTable(records_of("vat", row.pk)),
    }
    return render(request, "production/vat.html", context, status=422 if bound else 200)


def _in_words(row: Vat) -> str:
    heat = "nobody has read its heat today"
    if read_today(row):
        heat = f"it was at {measure(row.heat_c)} C {at_clock(row.heat_at)}"
    wants = wanted_kg(row)
    fill = f"{wants:.1f} kg of wax fill it up" if wants else "it is full"
    return f"{row} holds {row.wax} in {row.colour.name.lower()}: {heat}, {fill}."


def _all_in_words(rows: list[Vat]) -> str:
    used = [row for row in rows if row.active]
    if not used:
        return "No vat is in use; nothing can be dipped."
    unread = [row.name for row in used if not read_today(row)]
    said = f"{counted(len(used), 'vat is', 'vats are')} in use"
    if not unread:
        return f"{said}, and each one's heat was read today."
    if len(unread) == len(used):
        return f"{said}; nobody has read their heat today."
    return f"{said}; the heat of {', '.join(unread)} was not read today."


def _at_field(form, refused: ValidationError) -> ValidationError:
    """The refusal at the form's own field: the domain names the model's."""
    if not hasattr(refused, "error_dict"):
        return refused
    only = next(name for name in form.fields if name not in ("submission", "note"))
    named = {name if name in form.fields else only: errors for name, errors in refused.error_dict.items()}
    return ValidationError(
        {name: [message for error in errors for message in error.messages] for name, errors in named.items()}
    )


def _warn(request, pk: int) -> None:
    """What was just read or done may want an answer at once."""
    for caution in cautions_at(vats_as_read().get(pk=pk)).all:
        messages.warning(request, caution)
