"""Set-up of the floor: carousels, kinds of frame, hours, days off, what waxes bear, the floor's figures."""

from datetime import datetime

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from config.roles import for_roles
from inventory.domain.versions import StaleVersion
from inventory.models import Candle
from inventory.queries.setup import counted
from inventory.views.lists import PER_PAGE
from inventory.views.paging import RequestConfig
from inventory.views.set_up_lists import SetUpList, take_stale
from inventory.views.setup import how_many
from inventory.words import counted as in_words
from production.domain import vat_set_up
from production.domain.carousels import change_carousel
from production.domain.figures import save_cost_figures, save_figures
from production.domain.hours import add_days_off
from production.forms import setup as forms
from production.models import Carousel, ChangeOver, DayOff, Frame, FrameKind, WorkingDay
from production.pitch import pairs_on_frame
from production.queries.costs import cost_figures
from production.queries.figures import floor_figures
from production.queries.wax_in_hand import wax_heats
from production.tables import setup as tables

CAROUSELS = SetUpList(
    list_name="carousels_setup",
    row_name="carousel_setup",
    title="Carousels",
    form=forms.CarouselForm,
    table=tables.CarouselTable,
    rows=lambda: Carousel.objects.annotate(hanging=counted(Frame.objects.filter(state="hanging"), "carousel")),
    headline=how_many(
        "carousel", "carousels", "each turns its frames past one vat.", "No carousel yet; no frame can hang."
    ),
    context="A position carries one frame. What turns or carries frames stays as it is.",
    change=change_carousel,
)
FRAME_KINDS = SetUpList(
    list_name="frame_kinds",
    row_name="frame_kind",
    title="Kinds of frame",
    form=forms.FrameKindForm,
    table=tables.FrameKindTable,
    rows=FrameKind.objects.all,
    headline=how_many(
        "kind of frame",
        "kinds of frame",
        "the pairs they carry come from the candle’s diameter and the pitch.",
        "No kind of frame yet; nothing can be threaded.",
    ),
    context="Lengths in mm, weights in g. Wicks hang about three finished diameters apart, never closer than two.",
    caution="production/setup/_lifting.html",
)


def working_headline(rows: list[WorkingDay]) -> str:
    """ "The floor works 5 days a week, 45 hours in all." """
    if not rows:
        return "The floor works on no day yet; without hours no ready-by time can be said."
    day = timezone.localdate()
    spans = [datetime.combine(day, row.ends) - datetime.combine(day, row.starts) for row in rows]
    hours = sum(span.total_seconds() for span in spans) / 3600
    return f"The floor works {in_words(len(rows), 'day')} a week, {hours:g} hours in all."


WORKING_HOURS = SetUpList(
    list_name="working_hours",
    row_name="working_day",
    title="Working hours",
    form=forms.WorkingDayForm,
    table=tables.WorkingDayTable,
    rows=WorkingDay.objects.all,
    headline=working_headline,
    context="Turns are reckoned within these hours only. A weekday that does not stand here is free.",
)
DAYS_OFF = SetUpList(
    list_name="days_off",
    row_name="day_off",
    title="Days off",
    form=forms.DayOffForm,
    table=tables.DayOffTable,
    rows=DayOff.objects.all,
    headline=how_many("day off", "days off", "no turn is reckoned on them.", "No day off is written down."),
    context="Whole days, on top of the weekdays that are free anyway.",
)
WAX_HEATS = SetUpList(
    list_name="wax_heats",
    row_name="wax_heat",
    title="Wax heat",
    form=forms.WaxHeatForm,
    table=tables.WaxHeatTable,
    rows=wax_heats,
    headline=how_many(
        "wax has its limits",
        "waxes have their limits",
        "every thermostat and cut-out is held to them.",
        "No limits yet; no vat may be set up before its wax has them.",
    ),
    context="Degrees C, from the data sheet of each wax, the lowest flash point of all that is in it.",
    caution="inventory/setup/_hot_wax.html",
    change=vat_set_up.change_wax_heat,
    remove=vat_set_up.remove_wax_heat,
)
CHANGE_OVERS = SetUpList(
    list_name="change_over_times",
    row_name="change_over_time",
    title="Change-over times",
    form=forms.ChangeOverTimeForm,
    table=tables.ChangeOverTable,
    rows=lambda: ChangeOver.objects.select_related("from_wax", "from_colour", "to_wax", "to_colour"),
    headline=how_many(
        "change-over has its own time",
        "change-overs have their own times",
        "all others take the floor’s figures.",
        "No change-over has a time of its own; all take the floor’s figures.",
    ),
    context="Minutes of work to empty, clean and fill a vat. The dip plan changes colours no more often than it pays.",
)


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def days_off(request):
    form = forms.DaysOffForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            made = add_days_off(first=given["day"], last=given["last"], note=given["note"], by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"{in_words(made, 'day')} off {'is' if made == 1 else 'are'} written down.")
            return redirect("days_off")
    rows = list(DayOff.objects.all())
    table = tables.DayOffTable(rows)
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    context = {"spec": DAYS_OFF, "form": form, "table": table, "headline": DAYS_OFF.headline(rows)}
    return render(request, "inventory/setup/list.html", context, status=422 if form.is_bound else 200)


@for_roles("dipper")
@require_safe
def frame_kind_pairs(request, pk: int):
    kind = get_object_or_404(FrameKind, pk=pk)
    table = tables.LoadingTable(Candle.objects.filter(active=True).select_related("wax", "colour"), kind=kind)
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    usual = pairs_on_frame(kind.bars, kind.usable_mm, tables.DINNER, kind.pitch)
    headline = f"{kind} takes {in_words(usual.pairs, 'pair')} of a 22 mm candle."
    context = {"kind": kind, "table": table, "headline": headline, "words": usual.words}
    return render(request, "production/setup/frame_kind_pairs.html", context)


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def figures(request):
    form = forms.FloorFiguresForm(request.POST or None, instance=floor_figures())
    said = "Written down. Frames threaded from now on are counted on by it."
    return _figures(request, form, save_figures, said, "production/setup/figures.html")


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def costs(request):
    form = forms.CostFiguresForm(request.POST or None, instance=cost_figures())
    said = "Written down. What a pair costs is reckoned by it from now on, for what was sold before, too."
    return _figures(request, form, save_cost_figures, said, "production/setup/cost_figures.html")


def _figures(request, form, save, said: str, template: str):
    """The page of a row there is one of: `save` writes it, `said` is told then."""
    model, theirs = form._meta.model, []
    if request.method == "POST" and form.is_valid():
        try:
            save(values=form.values, version=form.cleaned_data["version"], by=request.user)
        except StaleVersion as stale:
            theirs = take_stale(form, stale, model.objects.get_or_create(pk=1)[0])
        except ValidationError as refused:
            form.refuse(refused)
        else:
            messages.success(request, said)
            return redirect("set_up")
    row = model.objects.filter(pk=1).first() or model(pk=1)
    context = {"form": form, "row": row, "theirs": theirs}
    return render(request, template, context, status=422 if form.is_bound else 200)
