"""Seconds nobody bought in time: offered for the remelt, where they leave the stock as wax by weight."""

import uuid
from datetime import date, timedelta
from decimal import Decimal

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from config.roles import for_roles
from inventory.views.paging import RequestConfig
from inventory.words import day, in_pairs
from orders.domain.seconds_remelt import remelt_seconds
from orders.forms.seconds import RemeltForm
from orders.models import SecondsAge
from orders.queries.seconds import free_lots_of_seconds, lot_rows
from orders.queries.seconds_boxes import shelf_boxes
from orders.seconds_words import in_kilos, old_sentence
from orders.tables.seconds import OldTable
from orders.views.seconds import put_errors

USUAL_DAYS = 60  # where no step of age is set


@for_roles("packer")
@require_http_methods(["GET", "HEAD", "POST"])
def seconds_remelt(request):
    before, today = _before(request.GET.get("before", "")), timezone.localdate()
    rows = lot_rows(free_lots_of_seconds().filter(made_on__lt=before), today)
    if request.method != "POST":
        for row in rows:
            row.typed = "chosen"
        start = {"submission": uuid.uuid4(), "reason": f"not sold, dipped before {day(before)}"}
        return _show(request, before, rows, RemeltForm(initial=start))
    form, refusal = RemeltForm(request.POST), ""
    chosen = _chosen(request.POST.getlist("lot"))
    for row in rows:
        row.typed = "chosen" if row.lot.pk in chosen else ""
    if form.is_valid():
        try:
            gone = remelt_seconds(lots=chosen, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            refusal = put_errors(rows, error, lambda row: row.lot.code)
        else:
            messages.success(
                request, f"{in_pairs(gone.pairs)} went to the remelt, {in_kilos(gone.grams)} by size and wax. Weigh "
                "the wax in where remelt is weighed."
            )  # fmt: skip
            return redirect("seconds_shelf")
    return _show(request, before, rows, form, refusal=refusal, status=422)


def _before(typed: str) -> date:
    """The day asked for, else where the last step of age begins."""
    try:
        return date.fromisoformat(typed)
    except ValueError:
        last = SecondsAge.objects.order_by("days").values_list("days", flat=True).last()
        return timezone.localdate() - timedelta(days=last or USUAL_DAYS)


def _chosen(values: list[str]) -> dict[int, int]:
    """Lot key -> pairs, of ticks "17-9": so many pairs as the page showed, so that none goes unseen."""
    found = {}
    for value in values:
        key, _, pairs = value.partition("-")
        if all(part.isascii() and part.isdigit() and len(part) < 10 for part in (key, pairs)):
            found[int(key)] = int(pairs)
    return found


def _show(request, before: date, rows: list, form: RemeltForm, *, refusal: str = "", status: int = 200):
    table = OldTable(rows)
    RequestConfig(request, paginate=False).configure(table)
    today = timezone.localdate()
    pairs, grams = sum(row.lot.free for row in rows), sum((row.grams for row in rows), Decimal(0))
    context = {
        "headline": old_sentence(pairs=pairs, lots=len(rows), grams=grams, before=day(before)),
        "before": before,
        "table": table if rows else None,
        "form": form,
        "refusal": refusal,
        "boxes": [box for box in shelf_boxes(today) if any(one.lot.made_on < before for one in box.contents)],
    }
    return render(request, "orders/seconds_remelt.html", context, status=status)
