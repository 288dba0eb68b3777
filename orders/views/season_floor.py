"""The season on the floor: its weeks, what to hang ahead, and until when orders can come in."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from config.roles import for_roles
from inventory.models import FIRSTS
from inventory.queries.stockroom import free_by_candle
from inventory.views.paging import RequestConfig
from inventory.words import counted
from orders.domain.season import want_ahead
from orders.forms.season import SeenForm, TryForm
from orders.queries import season_pages as rows_of
from orders.queries.season import season_dates
from orders.queries.season_floor import (
    Outlook,
    SeasonFloor,
    last_order_days,
    list_seen,
    outlook_now,
    saturdays,
    wanted_ahead,
)
from orders.season.words import ahead_sentence, last_order_sentence, load_sentence, trial_sentence
from orders.tables import season as tables
from production.domain.dip_plan.search import ask_search
from production.domain.dip_plan.what_if import in_words
from production.floor_load import EXPECTED, HANGING, WANTED
from production.floor_load_svg import draw_key, draw_load
from production.queries.dip_plan import standing_plan

KEYS = ((HANGING, "hangs already"), (WANTED, "on the dip list"), (EXPECTED, "still expected"))


@for_roles()
@require_safe
def season_load(request):
    outlook = outlook_now()
    floor = outlook.floor()
    form, changes, trial = _tried(request, outlook)
    context = {
        "headline": load_sentence(floor.asked, floor.loads, floor.over),
        "season": outlook.season,
        "chart": draw_load(floor.asked, floor.loads),
        "keys": [(draw_key(kind), words) for kind, words in KEYS],
        "table": tables.LoadTable(rows_of.load_rows(floor, trial), exclude=() if trial else ("trial",)),
        "said": floor.asked.said,
        "form": form,
        "trial": _trial_in_words(changes, floor, trial) if trial else "",
        "trial_said": [each for each in trial.asked.problem.said if "carousel" in each] if trial else (),
        "hidden": _as_fields(request) if trial and standing_plan() else (),
    }
    return render(request, "orders/season/load.html", context, status=422 if form.errors else 200)


def _tried(request, outlook: Outlook) -> tuple[TryForm, dict, SeasonFloor | None]:
    """The form, what it changes, and the floor with that changed; None where nothing is."""
    form = TryForm(request.GET or None)
    if not form.is_bound or not form.is_valid():
        return form, {}, None
    changes = form.changes(saturdays(outlook.season.dates.last_van, timezone.localdate()))
    return form, changes, outlook.floor(changes) if changes else None


def _trial_in_words(changes: dict, floor: SeasonFloor, trial: SeasonFloor) -> str:
    days = changes.get("days_worked", [])
    words = in_words({**changes, "days_worked": days[:1]})
    if len(days) > 1:
        words = in_words({name: value for name, value in changes.items() if name != "days_worked"})
        also = "" if words == "as things are" else f"{words} and "
        words = f"{also}with {counted(len(days), 'Saturday')} worked"
    loads = [[load.most for load, _ in each.loads] for each in (floor, trial)]
    return trial_sentence(words, *loads, (floor.over, trial.over))


def _as_fields(request) -> list[tuple[str, str]]:
    """What is tried, to be sent on with the next form."""
    return [(name, value) for name in TryForm.base_fields for value in request.GET.getlist(name)]


@for_roles()
@require_POST
def season_try(request):
    """The same trial, worked out by the dip plan turn by turn."""
    form, row = TryForm(request.POST), standing_plan()
    if row is None:
        messages.error(request, "No plan stands to try against: make one first.")
        return redirect("dip_plan")
    changes = form.changes(saturdays(season_dates()[0].last_van, timezone.localdate())) if form.is_valid() else {}
    if not changes:
        messages.warning(request, "Nothing to try: say what would be different.")
        return redirect("season_load")
    try:
        trial = ask_search(effort="quick", what_if=changes, beside=row.search, by=request.user)
    except ValidationError as refused:
        messages.error(request, " ".join(refused.messages))
        return redirect("season_load")
    return redirect("dip_plan_trial", pk=trial.pk)


@for_roles()
@require_safe
def season_last_orders(request):
    outlook = outlook_now()
    last, candles = last_order_days(outlook.season, outlook.expected)
    by_candle, by_colour = _last_tables(last, candles)
    RequestConfig(request, paginate=False).configure(by_candle)
    context = {
        "headline": last_order_sentence(last.days, outlook.season.dates.last_van, last.lacking),
        "season": outlook.season, "last": last, "table": by_candle, "colours": by_colour,
        "made": last.plan.made_at if last.plan else None,
    }  # fmt: skip
    return render(request, "orders/season/last_orders.html", context)


def _last_tables(last, candles) -> tuple[tables.LastOrderTable, tables.LastColourTable]:
    free = free_by_candle(last.days, FIRSTS)
    return (
        tables.LastOrderTable(rows_of.last_order_rows(last, candles, free)),
        tables.LastColourTable(rows_of.last_colour_rows(last, candles), prefix="c-"),
    )


@for_roles()
@require_safe
def season_ahead(request):
    outlook = outlook_now()
    floor = outlook.floor()
    rows = rows_of.ahead_rows(outlook, floor)
    table = tables.AheadTable(rows)
    RequestConfig(request, paginate=False).configure(table)
    wanted = wanted_ahead(outlook, floor)
    hung = [row for row in rows if row.frames]
    sure = sum(row.ahead.expected.sure for row in rows)
    context = {
        "headline": ahead_sentence(sum(row.frames for row in hung), sum(row.pairs for row in hung), len(hung), sure),
        "season": outlook.season, "table": table, "shelves": tables.RoomTable(rows_of.room_rows()),
        "seen": list_seen(wanted) if wanted else "",
    }  # fmt: skip
    return render(request, "orders/season/ahead.html", context)


@for_roles()
@require_POST
def season_ahead_put(request):
    form = SeenForm(request.POST)
    try:
        if not form.is_valid():
            raise ValidationError("Which list? Look at it, then put it on the dip list.")
        frames = want_ahead(seen=form.cleaned_data["seen"], by=request.user)
    except ValidationError as refused:
        messages.warning(request, " ".join(refused.messages))
    else:
        messages.success(request, f"{counted(frames, 'frame is', 'frames are')} on the dip list, for the shelf.")
    return redirect("season_ahead")


def load_table() -> tables.LoadTable:
    return tables.LoadTable(rows_of.load_rows(outlook_now().floor()), exclude=("trial",))


def ahead_table() -> tables.AheadTable:
    outlook = outlook_now()
    return tables.AheadTable(rows_of.ahead_rows(outlook, outlook.floor()))


def last_order_tables() -> tuple[tables.LastOrderTable, tables.LastColourTable]:
    outlook = outlook_now()
    return _last_tables(*last_order_days(outlook.season, outlook.expected))
