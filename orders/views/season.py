"""The season: what is booked, what is still to come, who has not ordered, and its own set-up."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles
from inventory.csv_out import csv_response
from inventory.domain.versions import StaleVersion
from inventory.views.paging import RequestConfig
from inventory.views.set_up_lists import take_stale
from inventory.words import counted, in_pairs
from orders.domain.season import put_booked_before, save_season_figures, take_out_booked_before
from orders.forms.season import BeforeForm, SeasonFiguresForm, TakeOutForm
from orders.queries import season_pages as rows_of
from orders.queries.season import pastes, season_dates, season_figures, season_now
from orders.queries.season_floor import last_order_days, outlook_now
from orders.season.words import (
    candles_sentence,
    growth_in_words,
    last_order_sentence,
    not_yet_sentence,
    season_sentence,
)
from orders.season_svg import draw_curve
from orders.tables import season as tables
from orders.views import season_floor as floor

SHEETS = {
    "curve": lambda: tables.CurveTable(rows_of.curve_rows(season_now())),
    "candles": lambda: tables.SeasonCandleTable(rows_of.candle_rows(season_now())),
    "shops": lambda: tables.NotYetTable(rows_of.not_yet_rows(season_now())),
    "weeks": floor.load_table,
    "last-orders": lambda: floor.last_order_tables()[0],
    "last-orders-colours": lambda: floor.last_order_tables()[1],
    "ahead": floor.ahead_table,
}


@for_roles()
@require_safe
def season(request):
    outlook = outlook_now()
    this, projection = outlook.season, outlook.season.projection
    last, _ = last_order_days(this, outlook.expected)
    context = {
        "headline": season_sentence(this.now.early, this.last.early, projection),
        "season": this,
        "projection": projection,
        "growth": growth_in_words(projection) if projection else "",
        "last_orders": last_order_sentence(last.days, this.dates.last_van, last.lacking),
        "chart": draw_curve(this.now.curve, this.last.curve, this.dates, this.today, projection),
        "table": tables.CurveTable(rows_of.curve_rows(this)),
        "pasts": [book for book in this.before if book.total],
    }
    return render(request, "orders/season/season.html", context)


@for_roles()
@require_safe
def season_candles(request):
    this = season_now()
    rows = rows_of.candle_rows(this)
    table = tables.SeasonCandleTable(rows)
    RequestConfig(request, paginate=False).configure(table)
    projection = this.projection
    headline = candles_sentence([(row["candle"].name, row["rest"], row["booked"]) for row in rows], projection)
    context = {"headline": headline, "season": this, "table": table, "projection": projection}
    return render(request, "orders/season/candles.html", context)


@for_roles()
@require_safe
def season_shops(request):
    this = season_now()
    rows = rows_of.not_yet_rows(this)
    table = tables.NotYetTable(rows)
    RequestConfig(request, paginate=False).configure(table)
    overdue = sum(row["early"] > 0 for row in rows)
    context = {
        "headline": not_yet_sentence(len(rows), sum(row["pairs"] for row in rows), overdue),
        "season": this, "table": table,
    }  # fmt: skip
    return render(request, "orders/season/shops.html", context)


@for_roles()
@require_safe
def season_csv(request, sheet):
    if sheet not in SHEETS:
        raise Http404("No such sheet of the season.")
    return csv_response(SHEETS[sheet](), f"season-{sheet}")


@for_roles()
@require_http_methods(["GET", "HEAD", "POST"])
def season_figures_page(request):
    form, theirs = SeasonFiguresForm(request.POST or None, instance=season_figures()), []
    if request.method == "POST" and form.is_valid():
        try:
            save_season_figures(values=form.values, version=form.cleaned_data["version"], by=request.user)
        except StaleVersion as stale:
            theirs = take_stale(form, stale, season_figures())
        except ValidationError as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Written down. Every page of the season goes by it from now on.")
            return redirect("season")
    context = {"form": form, "dates": season_dates()[0], "theirs": theirs}
    return render(request, "orders/season/figures.html", context, status=422 if form.is_bound else 200)


@for_roles()
@require_http_methods(["GET", "HEAD", "POST"])
def season_before(request):
    form = BeforeForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            rows = put_booked_before(by=request.user, **form.cleaned_data)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"{counted(rows, 'row is', 'rows are')} in.")
            return redirect("season_before")
    rows = pastes()
    pairs = sum(row["pairs"] for row in rows)
    headline = (
        f"{in_pairs(pairs)} that shops ordered before this book was begun are in it." if rows else NOTHING_BEFORE
    )
    context = {"form": form, "table": tables.PasteTable(rows), "headline": headline}
    return render(request, "orders/season/before.html", context, status=422 if form.is_bound else 200)


NOTHING_BEFORE = "What did shops order last Christmas, before this book was begun?"


@for_roles()
@require_POST
def season_before_out(request):
    """Out already: nothing happens."""
    form = TakeOutForm(request.POST)
    if form.is_valid():
        gone = take_out_booked_before(by=request.user, **form.cleaned_data)
        messages.success(request, f"{counted(gone, 'row is', 'rows are')} taken out.")
    return redirect("season_before")
