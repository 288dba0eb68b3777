"""One box of seconds: what lies in it, its label, its price, opened again or taken off an order."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from config.roles import for_roles, works_as
from inventory.models import Workshop
from inventory.printing import render_pdf
from inventory.queries.records import records_of
from inventory.views.paging import RequestConfig
from inventory.views.pdf import pdf_response
from inventory.words import in_pairs
from orders.domain import seconds_boxes as domain
from orders.domain.seconds_pricing import boxes_with_contents
from orders.domain.seconds_selling import take_box_off
from orders.forms.seconds import BoxPriceForm, BoxVersionForm
from orders.models import SecondsBox
from orders.money import in_pounds
from orders.queries.seconds_boxes import ShelfBox, all_boxes, amount_of_box, priced, stands_on_order
from orders.seconds_words import box_sentence, boxes_sentence, in_kilos
from orders.tables.order_page import StoryTable
from orders.tables.seconds_boxes import AllBoxesTable, BoxContentTable
from orders.views.refusals import refused

PER_PAGE, STORY_ROWS = 50, 15


def get_box(pk: int) -> ShelfBox:
    """The box with what it costs a shop without group or agreement today."""
    return priced([get_object_or_404(boxes_with_contents(), pk=pk)], timezone.localdate())[0]


@for_roles("packer")
@require_safe
def seconds_boxes(request):
    rows = all_boxes()
    table = AllBoxesTable(rows)
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    stands = {state: sum(1 for box in rows if box.state == state) for state in ("on the shelf", "sold", "opened")}
    context = {"table": table, "headline": boxes_sentence(stands)}
    return render(request, "orders/seconds_boxes.html", context)


@for_roles("packer", "bookkeeper")
@require_safe
def seconds_box(request, pk):
    return _show(request, get_box(pk))


def _show(request, row: ShelfBox, *, status: int = 200, **bound):
    box, version = row.box, {"version": row.box.version}
    story = StoryTable(records_of(domain.SUBJECT, box.pk))
    RequestConfig(request, paginate={"per_page": STORY_ROWS}).configure(story)
    packs, sold_at = works_as(request.user, "packer"), amount_of_box(box)
    price = in_pounds(row.price.price) if row.price.known else ""
    context = {
        "row": row,
        "box": box,
        "headline": box_sentence(
            box.code, state=box.state, pairs=row.pairs, weight_g=box.weight_g, price=price,
            whose=str(box.order.shop) if box.order_id else "",
        ),
        "sold_at": sold_at,
        "contents": BoxContentTable(row.contents),
        "story": story,
        "on_order": stands_on_order(box),
        "price_form": BoxPriceForm(initial={**version, "price": box.price}, auto_id="id_price_%s"),
        "open_form": BoxVersionForm(initial=version, auto_id="id_open_%s"),
        "off_form": BoxVersionForm(initial=version, auto_id="id_off_%s"),
        "packs": packs,
        # What was asked for may no longer be on offer: the reason stands at the head of the page.
        "refused": next(iter(bound.values()), None),
        **bound,
    }  # fmt: skip
    return render(request, "orders/seconds_box.html", context, status=status)


def _act(request, pk: int, form, name: str, *, act, said):
    """Do it and say so; refused, the page comes back filled in, with the reason."""
    if form.is_valid():
        try:
            result = act(form.cleaned_data)
        except ValidationError as error:
            refused(form, error, version=SecondsBox.objects.values_list("version", flat=True).get(pk=pk))
        else:
            messages.success(request, said(result))
            return redirect("seconds_box", pk)
    return _show(request, get_box(pk), status=422, **{name: form})


@for_roles("packer")
@require_POST
def seconds_box_price(request, pk):
    box = get_box(pk).box
    return _act(
        request,
        pk,
        BoxPriceForm(request.POST, auto_id="id_price_%s"),
        "price_form",
        act=lambda cleaned: domain.price_seconds_box(box=box, by=request.user, **cleaned),
        said=lambda done: f"{done.code} costs {in_pounds(done.price) if done.price else 'what the rule says'}.",
    )


@for_roles("packer")
@require_POST
def seconds_box_open(request, pk):
    row = get_box(pk)
    return _act(
        request,
        pk,
        BoxVersionForm(request.POST, auto_id="id_open_%s"),
        "open_form",
        act=lambda cleaned: domain.open_box(box=row.box, by=request.user, **cleaned),
        said=lambda done: f"{done.code} is opened: {in_pairs(row.pairs)} lie free on the shelf again.",
    )


@for_roles("packer")
@require_POST
def seconds_box_off(request, pk):
    box = get_box(pk).box
    number = box.order.number if box.order_id else ""
    return _act(
        request,
        pk,
        BoxVersionForm(request.POST, auto_id="id_off_%s"),
        "off_form",
        act=lambda cleaned: take_box_off(box=box, by=request.user, **cleaned),
        said=lambda done: f"{done.code} is off order {number} and stands on the shelf again.",
    )


@for_roles("packer")
@require_safe
def seconds_box_label(request, pk):
    """The label as a PDF, one sheet of A6; it shows what is true now and is no issued paper."""
    row = get_box(pk)
    context = {"row": row, "box": row.box, "weight": in_kilos(row.box.weight_g), "workshop": Workshop.objects.first()}
    return pdf_response(request, render_pdf("print/seconds_label.html", context), f"label {row.box.code}")
