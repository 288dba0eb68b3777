"""The dip list: which pairs are wanted, by when and for whom."""

from django.shortcuts import render
from django.views.decorators.http import require_safe

from config.roles import for_roles
from inventory.csv_out import csv_response
from inventory.views.lists import listed
from inventory.words import counted, day, in_pairs
from production.forms.dip_list import DipListFilter
from production.queries.dip_list import wanted_candles, whole_list
from production.tables.dip_list import DipListTable


@for_roles("dipper")
@require_safe
def dip_list(request):
    narrowed, table = listed(request, DipListTable, DipListFilter, wanted_candles())
    context = {"filter": narrowed, "table": table, "headline": _in_words(whole_list())}
    return render(request, "production/dip_list.html", context)


@for_roles("dipper")
@require_safe
def dip_list_csv(request):
    narrowed = DipListFilter(request.GET, queryset=wanted_candles())
    return csv_response(DipListTable(narrowed.qs), "dip-list")


def _in_words(whole: dict) -> str:
    if not whole["pairs"]:
        return "Nothing is wanted of the floor: every open pair is covered."
    candles = counted(whole["candles"], "candle")
    verb = "is" if whole["pairs"] == 1 else "are"
    return f"{in_pairs(whole['pairs'])} of {candles} {verb} wanted, the first by {day(whole['first'])}."
