"""The dip list: which pairs are wanted, by when and for whom, and how many frames that means."""

from django.contrib import messages
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from config.roles import for_roles, works_as
from inventory.csv_out import csv_response
from inventory.views.lists import listed
from inventory.words import counted, day, in_pairs
from production.domain.spare import hang_spare_for
from production.forms.dip_list import DipListFilter
from production.models import Want
from production.queries.dip_list import own_wants, wanted_candles, whole_list, whole_need
from production.queries.figures import confidence
from production.tables.dip_list import DipListTable, OwnWantTable


@for_roles("dipper")
@require_safe
def dip_list(request):
    narrowed, table = listed(request, DipListTable, DipListFilter, wanted_candles())
    owns, whole, need = works_as(request.user), whole_list(), whole_need()
    context = {
        "filter": narrowed,
        "table": table,
        "headline": _in_words(whole, need),
        "sure": round(100 * confidence()),
        "own": OwnWantTable(own_wants(), acts=owns),
        "owns": owns,
        "spare": need["spare"],
    }
    return render(request, "production/dip_list.html", context)


@for_roles("dipper")
@require_safe
def dip_list_csv(request):
    narrowed = DipListFilter(request.GET, queryset=wanted_candles())
    return csv_response(DipListTable(narrowed.qs), "dip-list")


@for_roles("dipper")
@require_POST
def hang_spare(request):
    """What hangs for the shelf hangs for the wants of its candle, in their turn."""
    given = hang_spare_for(Want.objects.values_list("pk", flat=True))
    said = f"{in_pairs(given)} that hung for the shelf hang for the dip list now."
    messages.success(request, said if given else "Nothing that hangs for the shelf is wanted.")
    return redirect("dip_list")


def _in_words(whole: dict, need: dict) -> str:
    if not whole["pairs"]:
        return "Nothing is wanted of the floor: every open pair is covered."
    candles = counted(whole["candles"], "candle")
    verb = "is" if whole["pairs"] == 1 else "are"
    wanted = f"{in_pairs(whole['pairs'])} of {candles} {verb} wanted, the first by {day(whole['first'])}"
    if not need["need"]:
        return f"{wanted}; nothing is left to hang."
    frames = f" on {counted(need['frames'], 'frame')}" if need["frames"] else ""
    return f"{wanted}; {need['need']:,} still to hang{frames}."
