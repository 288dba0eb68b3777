"""Order entry: choosing the shop, the draft as it is typed, and taking the order.

Every button of the draft's page sends the whole form, so that what was typed is kept whatever is pressed. A script
sends the same form as one types (header X-Draft) and takes from the answering page what has changed.
"""

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Q
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles
from inventory.domain.versions import StaleVersion
from inventory.views.paging import RequestConfig
from inventory.words import counted, day, in_pairs
from orders.domain.ordering import confirm_order, discard_draft, save_draft, start_draft
from orders.forms.entry import PasteForm, StartForm, VersionForm
from orders.models import Order, Shop
from orders.models.order import CONFIRMED, DRAFT
from orders.queries.earlier_orders import drafts_begun, last_christmas, last_time
from orders.queries.entry import TypedRow, rows_to_keep
from orders.tables.entry import DraftTable
from orders.views.entry_page import DraftPage, Sent

PLACE = ("packer", "bookkeeper")
MOST_SHOPS = 12
REFUSED = 422


def get_draft(number: int) -> Order:
    return get_object_or_404(
        Order.objects.select_related("shop", "deliver_to", "made_by", "came_as__form"), number=number
    )


# --- whose order


@for_roles(*PLACE)
@require_http_methods(["GET", "POST"])
def order_new(request):
    if request.method == "GET":
        return _choose_shop(request)
    form = StartForm(request.POST)
    if form.is_valid():
        try:
            return redirect(start_draft(by=request.user, **form.cleaned_data))
        except ValidationError as error:
            form.add_error(None, error)
    return _choose_shop(request, refusal="Choose a shop from the list.", status=REFUSED)


@for_roles(*PLACE)
@require_safe
def shop_find(request):
    """The shops that fit what is typed, as a part of the page."""
    return render(request, "orders/entry_shops.html", _shops(request))


def _choose_shop(request, refusal="", status=200):
    drafts = DraftTable(drafts_begun(), prefix="d-")
    RequestConfig(request, paginate={"per_page": 15}).configure(drafts)
    context = {**_shops(request), "refusal": refusal, "drafts": drafts}
    return render(request, "orders/entry_shop.html", context, status=status)


def _shops(request) -> dict:
    typed = (request.POST or request.GET).get("q", "").replace("\x00", "")[:80]
    shops = Shop.objects.filter(active=True)
    for word in typed.split():
        shops = shops.filter(Q(name__icontains=word) | Q(town__icontains=word))
    return {
        "typed": typed,
        "shops": shops.order_by("name")[:MOST_SHOPS],
        "more": max(0, shops.count() - MOST_SHOPS),
        "submission": uuid.uuid4(),
    }


# --- the draft


@for_roles(*PLACE)
@require_safe
def order_entry(request, number):
    order = get_draft(number)
    if order.status != DRAFT:
        return redirect("order", number)
    return DraftPage(order).render(request, more=request.GET.get("rows") == "more")


@for_roles(*PLACE)
@require_POST
def order_save(request, number):
    """Keep the form as it stands: typed on, a row struck out or mended, rows added."""
    order, sent = _sent(request, number)
    return _keep(request, order, sent)


@for_roles(*PLACE)
@require_POST
def order_paste(request, number):
    """Read a pasted block into rows behind those already there, and say what was left out."""
    order, sent = _sent(request, number)
    form = PasteForm(request.POST)
    if not form.is_valid():
        return DraftPage(order, sent, paste=form).render(request, status=REFUSED)
    reading = sent.book.reader.read_block(form.cleaned_data["paste"])
    sent.rows = [row for row in sent.rows if not row.blank]
    for part in reading.in_order:
        understood = hasattr(part, "code")
        sent.rows.append(
            TypedRow(part.code, str(part.pairs)) if understood else TypedRow(part.candle, part.quantity, part.text)
        )
    said = f"{counted(len(reading.rows), 'row')} read"
    if reading.doubts:
        said += f", {len(reading.doubts)} to look at: they are kept below, with the nearest candles"
    told = [f"{said}.", *(sentence.rstrip(".") + "." for sentence in reading.told)]
    told += [f"Left out, line {part.line}: “{part.text}”. {part.why}" for part in reading.left_out]
    return _keep(request, order, sent, told=told)


@for_roles(*PLACE)
@require_POST
def order_fill(request, number):
    """Fill the rows as last time, or as last Christmas, behind what is typed already."""
    order, sent = _sent(request, number)
    christmas = request.POST.get("fill") == "christmas"
    earlier = last_christmas(order, timezone.localdate()) if christmas else last_time(order)
    if earlier is None:
        return _keep(request, order, sent, told=["There is no earlier order of theirs to take rows from."])
    rows = [
        TypedRow(line.candle.code, str(line.pairs)) for line in earlier.lines.select_related("candle") if line.pairs
    ]
    there = {row.shown for row in sent.page_rows()}
    # Pressed twice it does not double the order.
    new = [row for row in rows if row not in there]
    sent.rows = [row for row in sent.rows if not row.blank] + new
    said = f"{counted(len(new), 'row')} taken from order {earlier.number} of {day(earlier.placed_on)}."
    if len(new) < len(rows):
        said += f" {len(rows) - len(new)} stood here already."
    return _keep(request, order, sent, told=[said])


@for_roles(*PLACE)
@require_POST
def order_confirm(request, number):
    order, sent = _sent(request, number, confirming=True)
    if order.status == CONFIRMED and sent.is_as_kept():
        return redirect("order", number)
    if refused := _save(request, order, sent):
        return refused
    order = get_draft(number)
    try:
        if sent.header.errors:
            raise ValidationError({})
        order = confirm_order(order=order, version=order.version, by=request.user)
    except ValidationError as error:
        sent.put_errors(error)
        return DraftPage(order, sent).render(request, status=REFUSED)
    pairs = sum(order.lines.values_list("pairs", flat=True))
    messages.success(request, f"Order {number} is taken: {in_pairs(pairs)} by {day(order.ship_by)}.")
    return redirect("order", number)


@for_roles(*PLACE)
@require_http_methods(["GET", "POST"])
def order_discard(request, number):
    order = get_draft(number)
    if request.method == "GET":
        return redirect("order", number) if order.status != DRAFT else _ask_discard(request, order)
    form = VersionForm(request.POST)
    try:
        if not form.base:
            raise ValidationError("The page was not whole. Look at the draft, then try again.")
        discard_draft(order=order, version=form.base, by=request.user)
    except ValidationError as error:
        return _ask_discard(request, get_draft(number), refusal=" ".join(error.messages), status=REFUSED)
    messages.success(request, f"Draft {number} is put away; its number stays in the book as cancelled.")
    return redirect("order_new")


def _ask_discard(request, order, refusal="", status=200):
    context = {"order": order, "rows": order.lines.count() + len(order.unread), "refusal": refusal}
    return render(request, "orders/entry_discard.html", context, status=status)


def _sent(request, number: int, *, confirming: bool = False) -> tuple[Order, Sent]:
    order = get_draft(number)
    return order, Sent(order, request.POST, confirming=confirming)


def _keep(request, order: Order, sent: Sent, told: list[str] = ()):
    """Save and show the draft again: by a redirect, or at once where a script asked or something is to be said."""
    if refused := _save(request, order, sent):
        return refused
    if told:
        messages.info(request, " ".join(told))
    order = get_draft(order.number)
    if sent.header.errors or request.headers.get("X-Draft"):
        status = REFUSED if sent.header.errors else 200
        return DraftPage(order, sent).render(request, status=status)
    more = "?rows=more" if "more" in request.POST else ""
    return redirect(f"{order.get_absolute_url()}{more}")


def _save(request, order: Order, sent: Sent):
    """Keep what was sent; the page that says why where it cannot be kept, else None."""
    if not sent.whole:
        sent.put_errors(ValidationError("The page was not whole when it was sent. Look it over and save again."))
        return DraftPage(order, sent).render(request, status=REFUSED)
    rows, unread = rows_to_keep(sent.page_rows())
    header = {name: value for name, value in sent.header.cleaned_data.items() if name in sent.header.fields}
    try:
        save_draft(order=order, version=sent.version, header=header, rows=rows, unread=unread, by=request.user)
    except StaleVersion:
        return DraftPage(get_draft(order.number), sent, stale=True).render(request, status=REFUSED)
    except ValidationError as error:
        sent.put_errors(error)
        return DraftPage(get_draft(order.number), sent).render(request, status=REFUSED)
    return None
