"""What a pair costs, and what is left of what was sold: for the owner alone."""

from django.http import Http404
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from config.roles import for_roles
from inventory.csv_out import csv_response
from inventory.models import Candle
from inventory.views.paging import RequestConfig
from inventory.words import day
from orders.forms.books import PeriodForm
from orders.margins import add_up, margin_sentence
from orders.queries.costs import GROUPS, margins, pair_costs
from orders.tables.margins import CostTable, MarginTable


@for_roles()
@require_safe
def candle_cost(request, pk):
    candle = get_object_or_404(Candle.objects.select_related("wax", "colour", "wick_of"), pk=pk)
    cost = pair_costs([candle])[candle.pk]
    context = {"candle": candle, "cost": cost, "table": CostTable(cost), "left": candle.trade_price - cost.total}
    return render(request, "orders/candle_cost.html", context)


@for_roles()
@require_safe
def margins_by(request, by):
    if by not in GROUPS:
        raise Http404("No such margin.")
    form = PeriodForm(request.GET)
    period = form.period
    rows = margins(period, by)
    table = MarginTable(rows)
    RequestConfig(request, paginate=False).configure(table)
    when = f"from {day(period.first)} to {day(period.last)}"
    context = {
        "headline": margin_sentence(add_up(rows), when), "form": form, "period": period, "by": by, "table": table,
        "ways": list(GROUPS),
    }  # fmt: skip
    return render(request, "orders/margins.html", context, status=200 if form.is_valid() else 422)


@for_roles()
@require_safe
def margins_file(request, by, kind):
    form = PeriodForm(request.GET)
    if by not in GROUPS or not form.is_valid() or kind not in ("csv", "xlsx"):
        raise Http404("No such file.")
    table = MarginTable(margins(form.period, by))
    if kind == "csv":
        return csv_response(table, f"margin-by-{by}")
    # openpyxl is loaded with the first workbook, not with every start.
    from inventory.xlsx_out import xlsx_response  # noqa: PLC0415

    return xlsx_response({f"Margin by {by}": table}, f"margin-by-{by}")
