"""The seconds shelf: what lies there, and selling some of it."""

import uuid

from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe
from django_tables2 import RequestConfig

from config.roles import for_roles
from orders.domain.pricing import seconds_rule
from orders.domain.seconds import sell_seconds
from orders.forms.seconds import SellForm, chosen_rows
from orders.prices import STERLING, seconds_cost
from orders.queries.seconds import ShelfRow, shelf_rows, worth
from orders.tables.seconds import ShelfTable


@for_roles("packer")
@require_safe
def seconds_shelf(request):
    return _show(request, shelf_rows(timezone.localdate()), SellForm(initial={"submission": uuid.uuid4()}))


@for_roles("packer")
@require_POST
def seconds_sell(request):
    rows = shelf_rows(timezone.localdate())
    form = SellForm(request.POST)
    chosen = chosen_rows(rows, request.POST)
    refusal = ""
    if form.is_valid() and not any(row.error for row in rows):
        try:
            return redirect(sell_seconds(rows=chosen, by=request.user, **form.cleaned_data))
        except ValidationError as error:
            said = error.message_dict if hasattr(error, "error_dict") else {"rows": error.messages}
            for row in rows:
                row.error = " ".join(said.pop(row.candle.code, []))
            refusal = " ".join(text for texts in said.values() for text in texts)
    return _show(request, rows, form, refusal=refusal, status=422)


def _show(request, rows: list[ShelfRow], form: SellForm, refusal: str = "", status: int = 200):
    table = ShelfTable(rows)
    # One form holds all rows, so they stand on one page.
    RequestConfig(request, paginate=False).configure(table)
    context = {
        "table": table,
        "form": form,
        "refusal": refusal,
        "pairs": sum(row.free for row in rows),
        "lots": sum(len(row.lots) for row in rows),
        "worth": worth(rows),
        "oldest": max((row.oldest for row in rows), default=0),
        "costs": seconds_cost(seconds_rule(timezone.localdate(), STERLING)),
    }
    return render(request, "orders/seconds.html", context, status=status)
