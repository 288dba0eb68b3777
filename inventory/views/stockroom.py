"""The stockroom's pages: what lies there by candle and by lot, and each lot's history."""

from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from config.roles import for_roles
from inventory.csv_out import csv_response
from inventory.forms.stockroom import LotFilter, ShelveForm, StockFilter
from inventory.models import Lot
from inventory.queries.records import records_of
from inventory.queries.stockroom import Stock, all_lots, bare_candles, history_of, stocked_candles, whole_stock
from inventory.tables.stockroom import HistoryTable, LotTable, RecordTable, StockTable
from inventory.views.lists import PER_PAGE, listed
from inventory.views.paging import RequestConfig
from inventory.words import counted, day, in_pairs


@for_roles("packer", "dipper")
@require_safe
def stockroom(request):
    stock = whole_stock()
    narrowed, table = listed(request, StockTable, StockFilter, stocked_candles(), held=stock.by_candle)
    context = {"filter": narrowed, "table": table, "csv": "stockroom_csv", **_stock_in_words(stock)}
    return render(request, "inventory/stockroom.html", context)


@for_roles("packer", "dipper")
@require_safe
def stockroom_csv(request):
    _, table = listed(request, StockTable, StockFilter, stocked_candles(), held=whole_stock().by_candle)
    return csv_response(table, "stock-by-candle")


@for_roles("packer", "dipper")
@require_safe
def lots(request):
    narrowed, table = listed(request, LotTable, LotFilter, all_lots())
    context = {"filter": narrowed, "table": table, **_stock_in_words(whole_stock())}
    return render(request, "inventory/lots.html", context)


@for_roles("packer", "dipper")
@require_safe
def lots_csv(request):
    _, table = listed(request, LotTable, LotFilter, all_lots())
    return csv_response(table, "stock-by-lot")


@for_roles("packer", "dipper")
@require_safe
def lot(request, pk):
    return lot_page(request, get_object_or_404(Lot.objects.select_related("candle__colour", "shelf"), pk=pk))


def lot_page(request, lot, shelve_form=None, status=200):
    """The page of one lot; with a refused form in it where there is one."""
    history = HistoryTable(history_of(lot).reverse())
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(history)
    context = {
        "lot": lot,
        "headline": f"{lot.code} holds {in_pairs(lot.on_hand)} of {lot.candle}, {lot.free:,} of them free.",
        "adds_up": f"{counted(history.paginator.count, 'movement')}, adding up to {in_pairs(lot.on_hand)} on hand.",
        "history": history,
        "records": RecordTable(records_of("lot", lot.pk)),
        "form": shelve_form or ShelveForm(initial={"shelf": lot.shelf_id}),
    }
    return render(request, "inventory/lot.html", context, status=status)


def _stock_in_words(stock: Stock) -> dict[str, str]:
    bare = bare_candles(stock)
    bare = f"; {counted(bare, 'candle has', 'candles have')} none" if bare else ""
    if not stock.firsts:
        return {"headline": f"No pairs of firsts in the stockroom{bare}.", "seconds": _seconds(stock), "oldest": ""}
    return {
        "headline": (
            f"{in_pairs(stock.firsts)} of firsts on {counted(stock.shelves, 'shelf', 'shelves')}, "
            f"{stock.free:,} of them free{bare}."
        ),
        "seconds": _seconds(stock),
        "oldest": f"The oldest firsts were dipped on {day(stock.oldest)}.",
    }


def _seconds(stock: Stock) -> str:
    if not stock.seconds:
        return "No seconds."
    return f"{in_pairs(stock.seconds)} of seconds in {counted(stock.seconds_lots, 'lot')}."
