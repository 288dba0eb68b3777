"""Set-up: the workshop itself, its shelves, waxes and colours."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from config.roles import for_roles
from inventory.domain.set_up import WORKSHOP_ID, save_workshop
from inventory.domain.versions import StaleVersion
from inventory.forms.setup import ColourForm, ShelfForm, WaxForm, WorkshopForm
from inventory.models import Candle, Colour, Lot, Shelf, Wax, Workshop
from inventory.queries.setup import counted
from inventory.tables.setup import ColourTable, ShelfTable, WaxTable
from inventory.views.set_up_lists import SetUpList, take_stale


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def workshop(request):
    row, theirs = Workshop.objects.filter(pk=WORKSHOP_ID).first(), []
    form = WorkshopForm(request.POST or None, instance=Workshop.objects.filter(pk=WORKSHOP_ID).first())
    if request.method == "POST" and form.is_valid():
        try:
            save_workshop(values=form.values, version=form.cleaned_data["version"], by=request.user)
        except StaleVersion as stale:
            theirs = take_stale(form, stale, Workshop.objects.get(pk=WORKSHOP_ID))
        except ValidationError as refused:
            form.refuse(refused)
        else:
            messages.success(request, "Written down. Papers issued from now on carry it; older ones stay as they are.")
            return redirect("set_up")
    context = {"form": form, "workshop": row, "theirs": theirs}
    return render(request, "inventory/setup/workshop.html", context, status=422 if form.is_bound else 200)


def how_many(one: str, more: str, then: str, none: str):
    """A headline maker: "1 shelf; ..." or "12 shelves; ...", and a sentence of its own for an empty list."""

    def headline(rows: list) -> str:
        return f"{len(rows)} {one if len(rows) == 1 else more}; {then}" if rows else none

    return headline


SHELVES = SetUpList(
    list_name="shelves",
    row_name="shelf",
    title="Shelves",
    form=ShelfForm,
    table=ShelfTable,
    rows=lambda: Shelf.objects.annotate(
        candles=counted(Candle.objects, "shelf"), lots=counted(Lot.objects.filter(on_hand__gt=0), "shelf")
    ),
    headline=how_many(
        "shelf", "shelves", "the pick list walks them in this order.", "No shelf yet; candles lie somewhere."
    ),
    context="A candle has its usual shelf; a lot lies there unless told otherwise.",
)
WAXES = SetUpList(
    list_name="waxes",
    row_name="wax",
    title="Waxes",
    form=WaxForm,
    table=WaxTable,
    rows=lambda: Wax.objects.annotate(candles=counted(Candle.objects, "wax")),
    headline=how_many(
        "wax",
        "waxes",
        "what a pair weighs comes from their density.",
        "No wax yet; a candle needs one for its weight.",
    ),
    context="Densities in g/cm3. The data sheet of the wax goes before what stands here.",
    caution="inventory/setup/_hot_wax.html",
)
COLOURS = SetUpList(
    list_name="colours",
    row_name="colour",
    title="Colours",
    form=ColourForm,
    table=ColourTable,
    rows=lambda: Colour.objects.annotate(candles=counted(Candle.objects, "colour")),
    headline=how_many(
        "colour", "colours", "each candle is drawn in its own.", "No colour yet; a candle needs one to be drawn in."
    ),
    context="A screen shows dyed wax only roughly; the dip sample decides.",
)
