"""The check sheet of the day, on the screen and on paper."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from config.roles import for_roles
from inventory.models import Workshop
from inventory.printing import render_pdf
from inventory.views.paging import RequestConfig
from inventory.words import counted, day
from production.check_points import EVENING, MORNING, POINTS
from production.domain.check_sheets import save_check
from production.forms.vats import CheckForm
from production.heat import ALWAYS
from production.models import FloorCheck
from production.queries.vats import cautions_at, checks_of, limits_known, vats_as_read
from production.tables.vats import CheckTable

ROWS_A_PAGE = 20
NOON = 13  # from this hour on the sheet opens at its evening part, once the morning's is done


@for_roles("dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def check_sheet(request):
    done = checks_of(timezone.localdate())
    part = _asked(request, done)
    vats = vats_as_read().filter(active=True)
    form = CheckForm(request.POST or None, part=part, vats=vats)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            check = save_check(
                part=part,
                ticked=given["points"],
                vats=form.figures(),
                note=given["note"],
                tap=given["submission"],
                by=request.user,
            )
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            _tell(request, check)
            return redirect("check_sheet")
    table = CheckTable(FloorCheck.objects.select_related("person"))
    RequestConfig(request, paginate={"per_page": ROWS_A_PAGE}).configure(table)
    context = {
        "form": form,
        "part": part,
        "other": EVENING if part == MORNING else MORNING,
        "headline": _in_words(part, done, len(form.vats)),
        "table": table,
        "always": ALWAYS,
    }
    return render(request, "production/check_sheet.html", context, status=422 if form.is_bound else 200)


@for_roles("dipper")
@require_safe
def check_sheet_pdf(request):
    """A day's sheet to hang by the vats: both parts, boxes to tick, a row a vat."""
    vats = list(vats_as_read().filter(active=True))
    context = {
        "workshop": Workshop.objects.filter(pk=1).first(),
        "parts": [(title, [words for _, words in POINTS[part]]) for part, title in FloorCheck.PARTS],
        "vats": [(vat, limits_known(vat)) for vat in vats],
        "always": ALWAYS,
    }
    response = HttpResponse(render_pdf("print/check_sheet.html", context), content_type="application/pdf")
    response["Content-Disposition"] = 'inline; filename="check-sheet.pdf"'
    return response


def _asked(request, done: dict) -> str:
    """The part of the sheet: as sent or asked for, else the one that is due."""
    asked = request.POST.get("part") or request.GET.get("part")
    if asked in POINTS:
        return asked
    return EVENING if MORNING in done and timezone.localtime().hour >= NOON else MORNING


def _in_words(part: str, done: dict, vats: int) -> str:
    check = done.get(part)
    named = "start-of-day" if part == MORNING else "end-of-day"
    if check is None:
        of = f"for {counted(vats, 'vat')}" if vats else "and no vat is in use"
        return f"The {named} check of {day(timezone.localdate())} is still to do, {of}."
    at = f"{check.person.full_name} at {timezone.localtime(check.at):%H:%M}"
    if check.not_in_order:
        points = counted(len(check.not_in_order.splitlines()), "point was", "points were")
        return f"The {named} check was done by {at}: {points} not in order."
    return f"The {named} check was done by {at}: all in order."


def _tell(request, check: FloorCheck) -> None:
    messages.success(request, f"The {check.get_part_display()} check is kept.")
    if check.not_in_order:
        messages.warning(request, "Not everything is in order: heat nothing that is not safe to heat.")
    for vat in vats_as_read().filter(active=True):
        for caution in cautions_at(vat).heat if check.part == MORNING else ():
            messages.warning(request, f"{vat}: {caution}")
