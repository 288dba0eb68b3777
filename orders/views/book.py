"""The order book: what is due, covered, short and ready; and setting aside all that can be."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles, works_as
from inventory.csv_out import csv_response
from inventory.views.lists import listed
from inventory.words import counted, in_pairs
from orders.domain import two_ways
from orders.domain.setting_aside import set_aside_book as set_aside_whole_book
from orders.forms.book import BookFilter
from orders.forms.promises import WayForm
from orders.models import Order
from orders.models.order import DRAFT
from orders.queries.book import open_book, orders_listed
from orders.standing import due_day, due_sentence
from orders.tables.book import BookSheet, BookTable
from orders.tables.ways import WaysTable

PLACE = ("packer", "bookkeeper")


@for_roles(*PLACE)
@require_safe
def order_book(request):
    book, today = open_book(), timezone.localdate()
    narrowed, table = listed(request, BookTable, BookFilter, orders_listed(), book=book)
    late = sum(due.ship_by < today for due in book.dues)
    context = {
        "filter": narrowed,
        "table": table,
        "headline": due_sentence(book.dues, due_day(today)),
        "open_orders": counted(len(book.dues), "open order"),
        "pairs": in_pairs(sum(due.cover.pairs for due in book.dues)),
        "late": counted(late, "is past its day", "are past their day") if late else "",
        "until": due_day(today),
        "drafts": Order.objects.filter(status=DRAFT).count(),
        "may_set_aside": works_as(request.user, "packer"),
    }
    return render(request, "orders/book.html", context)


@for_roles(*PLACE)
@require_safe
def order_book_csv(request):
    _, table = listed(request, BookTable, BookFilter, orders_listed())
    return csv_response(BookSheet(table.data.data), "order-book")


@for_roles("packer")
@require_POST
def set_aside_book(request):
    """The rule at once where no other way completes more orders; else both ways are shown first."""
    if two_ways.compare_ways().more > 0:
        return redirect("set_aside_best")
    messages.success(request, set_aside_whole_book(by=request.user).in_words())
    return redirect("order_book")


@for_roles("packer")
@require_http_methods(["GET", "POST"])
def set_aside_best(request):
    if request.method == "GET":
        return _two_ways(request)
    form = WayForm(request.POST)
    if not form.is_valid():
        return _two_ways(request, refused="Choose one of the two ways.")
    try:
        result = two_ways.set_aside_book_by(**form.cleaned_data, by=request.user)
    except ValidationError as error:
        return _two_ways(request, refused=" ".join(error.messages))
    messages.success(request, result.in_words())
    return redirect("order_book")


def _two_ways(request, refused: str = ""):
    ways = two_ways.compare_ways()
    table = WaysTable.of(ways)
    context = {"ways": ways, "table": table, "refused": refused, "orders": len(ways.orders)}
    return render(request, "orders/set_aside_best.html", context, status=422 if refused else 200)
