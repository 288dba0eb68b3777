"""Where the wax went: a balance of the store, the loss at each vat, and what lies for remelt."""

from django.shortcuts import render
from django.views.decorators.http import require_safe

from config.roles import for_roles
from inventory.csv_out import csv_response
from production.balance_words import balance_headline, balance_lines, balance_reason, remelt_headline
from production.forms.wax_balance import SpanForm, usual_span
from production.queries.remelt import lying_for_remelt
from production.queries.wax_balance import balance_of, losses_by_vat
from production.tables.wax_balance import BalanceTable, VatLossTable


@for_roles("dipper")
@require_safe
def wax_balance(request):
    form = _asked(request)
    span = form.span
    balance = balance_of(span)
    context = {
        "headline": balance_headline(balance, span.first, span.last),
        "reason": balance_reason(balance),
        "form": form,
        "table": BalanceTable(balance_lines(balance)),
        "vats": VatLossTable(losses_by_vat(span)),
        "lying": remelt_headline([(row.name, row.tub) for row in lying_for_remelt()]),
    }
    return render(request, "production/wax_balance.html", context, status=422 if form.errors else 200)


def _asked(request) -> SpanForm:
    asked = {name: request.GET[name] for name in ("first", "last") if name in request.GET}
    span = usual_span()
    return SpanForm(asked or None, initial={"first": span.first, "last": span.last})


@for_roles("dipper")
@require_safe
def wax_balance_csv(request):
    return csv_response(BalanceTable(balance_lines(balance_of(_asked(request).span))), "wax-balance")


@for_roles("dipper")
@require_safe
def wax_losses_csv(request):
    return csv_response(VatLossTable(losses_by_vat(_asked(request).span)), "wax-lost-by-vat")
