"""One delivery: its boxes while they are filled, its papers once they are closed, and the van."""

from decimal import Decimal

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from config.roles import for_roles, works_as
from inventory.models import SECONDS
from inventory.queries.records import records_of
from inventory.views.paging import RequestConfig
from inventory.words import counted, day, in_pairs
from orders.bench import delivery_sentence
from orders.boxes import lifting_caution
from orders.documents.delivery_note import box_facts
from orders.domain import packing
from orders.domain.boxing import box_move as move_pairs
from orders.domain.boxing import boxes_against_least, boxes_of, lines_of
from orders.forms.packing import CloseForm, LeftForm, MoveForm, UnpackForm
from orders.models import Delivery
from orders.models.delivery import LEFT, PACKED, PACKING
from orders.packable import why_not_sent
from orders.tables.order_page import StoryTable
from orders.tables.packing import BoxTable, ContentTable, van_label
from orders.views.refusals import refused

STORY_ROWS = 15


def get_delivery(pk: int) -> Delivery:
    rows = Delivery.objects.select_related("order__shop", "note__cancellation__by", "started_by")
    return get_object_or_404(rows, pk=pk)


@for_roles("packer", "bookkeeper")
@require_safe
def delivery(request, pk):
    return _show(request, get_delivery(pk))


def _show(request, delivery: Delivery, *, status: int = 200, **bound):
    """The page; `bound` brings forms that were refused, by their name in the template."""
    lines = lines_of(delivery)
    boxes = boxes_of(delivery, lines)
    pairs, rows = sum(line.pairs for line in lines), [_box_row(box) for box in boxes]
    open_now = delivery.state == PACKING
    counted_boxes = boxes_against_least(lines, len(boxes)) if open_now else counted(len(boxes), "box", "boxes")
    contents = [content for box in boxes for content in box.contents.all()]
    forms = _forms(request, delivery, boxes) if works_as(request.user, "packer") else {}
    story = StoryTable(records_of("delivery", delivery.pk))
    RequestConfig(request, paginate={"per_page": STORY_ROWS}).configure(story)
    gross = sum((Decimal(row["gross_kg"]) for row in rows), Decimal("0.00"))
    context = {
        "delivery": delivery,
        "headline": delivery_sentence(
            delivery, pairs=pairs, boxes=counted_boxes, gross_kg=f"{gross:f}", today=timezone.localdate()
        ),
        "van_words": van_label(delivery.van_day),
        "void": getattr(delivery.note, "cancellation", None),
        "stands_in_the_way": why_not_sent(delivery.order),
        "packer_notes": delivery.order.shop.packer_notes,
        "may_see_shops": works_as(request.user, "packer", "bookkeeper"),
        "may_label": delivery.state in (PACKED, LEFT) and works_as(request.user, "packer"),
        "may_take_back": delivery.state == LEFT and works_as(request.user, "bookkeeper"),
        "boxes": BoxTable(rows),
        "cautions": _cautions(rows) if delivery.state in (PACKING, PACKED) else "",
        "contents": ContentTable(contents, second=delivery.order.grade == SECONDS, acts="move_form" in forms),
        "story": story,
        **forms,
        **bound,
    }
    return render(request, "orders/delivery.html", context, status=status)


def _box_row(box) -> dict:
    facts = box_facts(box)
    return {**facts, "box": box, "gross_g": Decimal(facts["gross_kg"]) * 1000}


def _cautions(rows) -> str:
    heaviest = max((row["gross_g"] for row in rows), default=Decimal(0))
    return lifting_caution(heaviest)


def _forms(request, delivery: Delivery, boxes) -> dict:
    """The forms that fit the state, each with the version it is made from."""
    version = {"version": delivery.version}
    if delivery.state == PACKING:
        asked = {"content": request.GET["move"]} if "move" in request.GET else {}
        return {
            "close_form": CloseForm(initial=version, auto_id="id_close_%s"),
            "move_form": _move_form(boxes, initial={**version, **asked}),
            "unpack_form": _unpack_form(delivery, initial=version),
        }
    if delivery.state == PACKED:
        return {
            "left_form": LeftForm(initial=version, auto_id="id_left_%s"),
            "unpack_form": _unpack_form(delivery, initial=version),
        }
    return {}


def _move_form(boxes, *args, **kwargs) -> MoveForm:
    return MoveForm(*args, boxes=boxes, auto_id="id_move_%s", **kwargs)


def _unpack_form(delivery: Delivery, *args, **kwargs) -> UnpackForm:
    needs = delivery.state == PACKED
    return UnpackForm(*args, needs_reason=needs, auto_id="id_unpack_%s", **kwargs)


def _act(request, delivery: Delivery, form, name: str, *, act, said):
    """Do it and say so; refused, the page comes back filled in, with the reason at the field."""
    if form.is_valid():
        try:
            result = act(form.cleaned_data)
        except ValidationError as error:
            delivery = get_delivery(delivery.pk)
            refused(form, error, version=delivery.version)
        else:
            messages.success(request, said(result))
            return redirect("delivery", delivery.pk)
    return _show(request, delivery, status=422, **{name: form})


@for_roles("packer")
@require_POST
def box_move(request, pk):
    row = get_delivery(pk)
    return _act(
        request,
        row,
        _move_form(boxes_of(row), request.POST),
        "move_form",
        act=lambda cleaned: move_pairs(delivery=row, by=request.user, **cleaned),
        said=lambda box: f"Moved. Box {box.number} is weighed anew.",
    )


@for_roles("packer")
@require_POST
def close_boxes(request, pk):
    row = get_delivery(pk)
    return _act(
        request,
        row,
        CloseForm(request.POST, auto_id="id_close_%s"),
        "close_form",
        act=lambda cleaned: packing.close_boxes(delivery=row, by=request.user, **cleaned),
        said=lambda closed: f"{closed.note.number} is made, with a slip for each box. It waits for the van.",
    )


@for_roles("packer")
@require_POST
def unpack(request, pk):
    row = get_delivery(pk)
    return _act(
        request,
        row,
        _unpack_form(row, request.POST),
        "unpack_form",
        act=lambda cleaned: packing.unpack(delivery=row, by=request.user, **cleaned),
        said=lambda done: (
            "Everything is put back and set aside as before."
            + (f" {done.note.number} is kept as cancelled." if done.note else "")
        ),
    )


@for_roles("packer")
@require_POST
def van_left(request, pk):
    row = get_delivery(pk)
    return _act(
        request,
        row,
        LeftForm(request.POST, auto_id="id_left_%s"),
        "left_form",
        act=lambda cleaned: packing.van_left(delivery=row, by=request.user, **cleaned),
        said=lambda gone: (
            f"{gone.note.number} left on {day(gone.left_on)}: {in_pairs(_pairs(gone))} have left the stock."
        ),
    )


def _pairs(delivery: Delivery) -> int:
    return sum(line.pairs for line in delivery.lines.all())
