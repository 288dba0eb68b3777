"""The seconds shelf: what lies there, selling some of it, and the shelf lot by lot, where boxes are made up."""

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles
from inventory.csv_out import csv_response
from inventory.views.paging import RequestConfig
from inventory.words import counted, in_pairs
from orders.domain.bags import free_bags
from orders.domain.ordering import Row
from orders.domain.pricing import seconds_rule
from orders.domain.seconds import sell_seconds
from orders.domain.seconds_boxes import make_up_box
from orders.forms.seconds import MakeUpForm, SecondsFilter, SellForm, read_pairs, ticked
from orders.models import BoxKind
from orders.money import NOUGHT, in_pounds
from orders.prices import STERLING, seconds_cost
from orders.queries.seconds import free_lots_of_seconds, lot_rows, shelf_rows, worth
from orders.queries.seconds_boxes import boxes_in_drafts, shelf_boxes
from orders.seconds_words import shelf_sentence
from orders.tables.seconds import LotShelfTable, ShelfTable
from orders.tables.seconds_boxes import ShelfBoxTable

PER_PAGE = 50


@for_roles("packer")
@require_safe
def seconds_shelf(request):
    return _show(request, *_shelf(), SellForm(initial={"submission": uuid.uuid4()}))


def _shelf() -> tuple[list, list]:
    today = timezone.localdate()
    return shelf_rows(today), shelf_boxes(today)


@for_roles("packer")
@require_POST
def seconds_sell(request):
    rows, boxes = _shelf()
    form, keys = SellForm(request.POST), ticked(request.POST, "box")
    chosen = read_pairs(rows, request.POST, lambda row: row.candle.pk)
    for box in boxes:
        box.ticked = box.box.pk in keys
    refusal = ""
    if form.is_valid() and not any(row.error for row in rows):
        wanted = [Row(row.candle, pairs) for row, pairs in chosen]
        try:
            return redirect(sell_seconds(rows=wanted, boxes=keys, by=request.user, **form.cleaned_data))
        except ValidationError as error:
            refusal = put_errors(rows, _at_bags(form, error), lambda row: row.candle.code)
    return _show(request, rows, boxes, form, refusal=refusal, status=422)


def _at_bags(form: SellForm, error: ValidationError) -> ValidationError:
    """Take what is wrong with the bags out of the error and put it beside their field."""
    if not hasattr(error, "error_dict"):
        return error
    said = error.message_dict
    for reason in said.pop("bags", []):
        form.add_error("bags", reason)
    return ValidationError(said)


def put_errors(rows, error: ValidationError, code) -> str:
    """Each reason beside the row whose code it is under; the others as one text, to stand above."""
    said = error.message_dict if hasattr(error, "error_dict") else {"rows": error.messages}
    for row in rows:
        row.error = " ".join(said.pop(code(row), []))
    return " ".join(text for texts in said.values() for text in texts)


def _show(request, rows: list, boxes: list, form: SellForm, *, refusal: str = "", status: int = 200):
    table, box_table = ShelfTable(rows), ShelfBoxTable(boxes)
    # One form holds all rows, so they stand on one page.
    for one in (table, box_table):
        RequestConfig(request, paginate=False).configure(one)
    whole = worth(rows) + sum((box.price.price for box in boxes), NOUGHT)
    sentence = shelf_sentence(
        pairs=sum(row.free for row in rows),
        lots=sum(len(row.lots) for row in rows),
        boxes=len(boxes),
        in_boxes=sum(box.pairs for box in boxes),
        worth=in_pounds(whole),
    )
    context = {
        "headline": sentence,
        "table": table,
        "boxes": box_table if boxes else None,
        "in_drafts": boxes_in_drafts(),
        "bags": free_bags(),
        "form": form,
        "refusal": refusal,
        "anything": bool(rows or boxes),
        "oldest": max((row.oldest for row in (*rows, *boxes)), default=0),
        "costs": seconds_cost(seconds_rule(timezone.localdate(), STERLING)),
    }
    return render(request, "orders/seconds.html", context, status=status)


@for_roles("packer")
@require_http_methods(["GET", "HEAD", "POST"])
def seconds_lots(request):
    """The shelf lot by lot; pairs typed beside lots are made up into a box."""
    if request.method != "POST":
        start = {"submission": uuid.uuid4(), "kind": BoxKind.objects.filter(standard=True, active=True).first()}
        return _show_lots(request, MakeUpForm(initial=start))
    # The lots that stood on the page, whatever it was narrowed to, so that what was typed beside them stays.
    shown = [name.removeprefix("pairs-") for name in request.POST if name.startswith("pairs-")]
    keys = [int(key) for key in shown if key.isascii() and key.isdigit() and len(key) < 19]
    rows = lot_rows(free_lots_of_seconds().filter(pk__in=keys), timezone.localdate())
    form, refusal = MakeUpForm(request.POST), []
    chosen = read_pairs(rows, request.POST, lambda row: row.lot.pk)
    if form.is_valid() and not any(row.error for row in rows):
        contents = {row.lot.pk: pairs for row, pairs in chosen}
        try:
            box = make_up_box(contents=contents, by=request.user, **form.for_domain)
        except ValidationError as error:
            refusal = form.refuse(_at_rows(rows, error))
        else:
            messages.success(request, f"{box.code} is made up. Write the code on it, or print its label.")
            return redirect(box)
    return _show_lots(request, form, rows, refusal=refusal, status=422)


def _at_rows(rows, error: ValidationError) -> ValidationError:
    """Take what belongs to a lot out of the error and put it beside the lot."""
    if not hasattr(error, "error_dict"):
        return error
    said = error.message_dict
    for row in rows:
        row.error = " ".join(said.pop(row.lot.code, []))
    return ValidationError(said)


def _show_lots(request, form: MakeUpForm, rows: list | None = None, *, refusal=(), status: int = 200):
    narrowed = SecondsFilter(request.GET, queryset=free_lots_of_seconds())
    page = rows is None
    if page:
        rows = lot_rows(narrowed.qs, timezone.localdate())
    table = LotShelfTable(rows)
    RequestConfig(request, paginate={"per_page": PER_PAGE} if page else False).configure(table)
    pairs = sum(row.lot.free for row in rows)
    verb = "lies" if pairs == 1 else "lie"
    context = {
        "headline": f"{in_pairs(pairs)} of seconds {verb} free in {counted(len(rows), 'lot')}: which go into a box?"
        if rows
        else "No seconds lie free that fit what is asked.",
        "filter": narrowed,
        "table": table,
        "form": form,
        "refusal": refusal,
        "rows": rows,
        "costs": seconds_cost(seconds_rule(timezone.localdate(), STERLING)),
    }
    return render(request, "orders/seconds_lots.html", context, status=status)


@for_roles("packer")
@require_safe
def seconds_lots_csv(request):
    narrowed = SecondsFilter(request.GET, queryset=free_lots_of_seconds())
    table = LotShelfTable(lot_rows(narrowed.qs, timezone.localdate()))
    RequestConfig(request, paginate=False).configure(table)
    return csv_response(table, "seconds")
