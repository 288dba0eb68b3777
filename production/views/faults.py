"""Faults and firsts: is the floor drifting, since which frame, and what is wrong with the seconds."""

from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from config.roles import for_roles
from inventory.views.paging import RequestConfig
from inventory.words import counted, in_pairs, per_cent
from production.forms.faults import FaultFilter
from production.p_chart import Chart, p_chart
from production.p_chart_svg import draw_p_chart
from production.queries.faults import MOST_POINTS, faults_by_grading, faults_of, gradings, latest_gradings
from production.queries.figures import floor_figures
from production.tables.faults import FaultTable, OutOfControlTable


@for_roles("dipper")
@require_safe
def faults(request):
    by_person = floor_figures().faults_by_person
    narrowed = FaultFilter(request.GET or {}, queryset=gradings(), by_person=by_person)
    rows = latest_gradings(narrowed.qs)
    context = {"filter": narrowed, "frames": len(rows), "most": MOST_POINTS, "by_person": by_person}
    if rows:
        context |= _charted(request, rows)
    else:
        context["headline"] = "No frame graded in that time fits."
    return render(request, "production/faults.html", context)


def _charted(request, rows) -> dict:
    hung = [row.firsts + row.seconds + row.remelt for row in rows]
    chart = p_chart([(row.seconds, pairs) for row, pairs in zip(rows, hung, strict=True)])
    table = FaultTable(faults_of(rows), hung=sum(hung))
    RequestConfig(request, paginate=False).configure(table)
    codes = [row.frame.code for row in rows]
    days = [timezone.localdate(row.frame.off_at or row.at) for row in rows]
    out = [rows[place] for place in chart.signals]
    faults_of_out = faults_by_grading(row.pk for row in out)
    named = [
        _named(rows[place], hung[place], chart.points[place], faults_of_out[rows[place].pk]) for place in chart.signals
    ]
    return {
        "headline": _in_words(rows, hung, chart),
        "chart": draw_p_chart(chart, codes, days),
        "exact": any(point.exact for point in chart.points),
        "out": OutOfControlTable(named[::-1]),
        "drifts": [_drift_in_words(chart, codes, first, last) for first, last in chart.drifts],
        "table": table,
    }


def _in_words(rows, hung, chart: Chart) -> str:
    out = len(chart.signals)
    said = (
        f"{per_cent(chart.centre, 1)} of {in_pairs(sum(hung))} on {counted(len(rows), 'graded frame')} were seconds; "
    )
    if not out:
        return said + "no frame is out of control."
    named = ", ".join(rows[place].frame.code for place in chart.signals[::-1][:4])
    more = f" and {out - 4} more" if out > 4 else ""
    return said + f"{counted(out, 'frame is', 'frames are')} out of control: {named}{more}."


def _named(row, hung: int, point, faults) -> dict:
    limit = point.upper if point.out == "above" else point.lower
    side = "at most" if point.out == "above" else "at least"
    return {
        "frame": row.frame,
        "off": row.frame.off_at,
        "words": f"{row.seconds} of {hung} were seconds, {per_cent(point.share)}; "
        f"{per_cent(limit)} {side} is usual for its size",
        "run": row.run_code,
        "vat": row.vat_name,
        "heat": row.heat,
        "faults": ", ".join(f"{fault.pairs} {fault.fault}" for fault in faults),
    }


def _drift_in_words(chart: Chart, codes, first: int, last: int) -> str:
    above = chart.points[first].share > chart.centre
    return (
        f"From {codes[first]} to {codes[last]}, {last - first + 1} frames in a row had "
        f"{'more' if above else 'fewer'} seconds than usual: something changed there."
    )
