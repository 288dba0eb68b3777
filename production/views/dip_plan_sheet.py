"""The week's dip plan on paper, for the wall."""

from datetime import timedelta

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_safe

from config.roles import for_roles
from inventory.models import Workshop
from inventory.printing import render_pdf
from production.heat import ALWAYS, NEVER_LEAVE
from production.plan_svg import draw_late_swatch
from production.plan_words import week_sentence
from production.queries.dip_plan import standing_plan
from production.queries.plan_picture import draw_days, look_at
from production.queries.plan_read import read_plan
from production.views.dip_plan import chosen_week, weeks_of

PAPER_SCALE = 0.075  # px a mm: a taper of 300 mm is 6 mm long on the sheet


@for_roles("dipper")
@require_safe
def dip_plan_sheet(request):
    """One sheet a week: all half-days of it that are still to come."""
    row, now = standing_plan(), timezone.localtime()
    read = read_plan(row) if row else None
    weeks = weeks_of(read, now) if read else []
    if not weeks:
        messages.error(request, "No plan stands for the days ahead: make one first.")
        return redirect("dip_plan")
    day = chosen_week(request, weeks, weeks[0])
    monday = day - timedelta(days=day.weekday())
    look = look_at(read.problem, row, scale=PAPER_SCALE)
    days = draw_days(read.problem, read.plan, look, since=now, first=monday, until=monday + timedelta(days=6))
    context = {
        "workshop": Workshop.objects.filter(pk=1).first(),
        "monday": monday,
        "made": row.made_at,
        "headline": week_sentence(read.problem, read.plan, monday, now),
        "days": days,
        "vats": len(read.problem.vats),
        "caution": f"{NEVER_LEAVE} {ALWAYS[-1]}",
        "swatch": draw_late_swatch(),
    }
    response = HttpResponse(render_pdf("print/plan_sheet.html", context), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="dip-plan-{monday}.pdf"'
    return response
