"""For the bookkeeper: day book, VAT on sales and receipts of a period, as pages, CSV and one workbook; closing it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles, works_as
from inventory.csv_out import csv_response
from orders.book_words import day_book_sentence, receipts_sentence, vat_sentence
from orders.domain.periods import close_period, closed_until, open_period
from orders.forms.books import CloseForm, OpenForm, PeriodForm
from orders.models import PeriodClose
from orders.periods import quarter_of, return_of
from orders.queries import books
from orders.tables.books import CloseTable, DayBookTable, ReceiptTable, VatTable

SHEETS = {
    "day-book": ("Day book", DayBookTable, books.day_book),
    "vat": ("VAT on sales", VatTable, books.vat_summary),
    "receipts": ("Receipts", ReceiptTable, books.receipts),
}


@for_roles("bookkeeper")
@require_safe
def day_book(request):
    form = PeriodForm(request.GET)
    rows = books.day_book(form.period)
    return _page(request, form, "day-book", DayBookTable(rows), day_book_sentence(rows, form.period))


@for_roles("bookkeeper")
@require_safe
def vat_summary(request):
    form = PeriodForm(request.GET)
    rows = books.vat_summary(form.period)
    made = return_of(rows)
    return _page(request, form, "vat", VatTable(rows), vat_sentence(made, form.period), boxes=made)


@for_roles("bookkeeper")
@require_safe
def receipts(request):
    form = PeriodForm(request.GET)
    rows = books.receipts(form.period)
    return _page(request, form, "receipts", ReceiptTable(rows), receipts_sentence(rows, form.period))


def _page(request, form: PeriodForm, sheet: str, table, headline: str, **more):
    context = {
        "headline": headline, "form": form, "period": form.period, "table": table, "sheet": sheet,
        "title": SHEETS[sheet][0], "closed": closed_until(), "quarter": quarter_of(form.period.last), **more,
    }  # fmt: skip
    return render(request, "orders/books/page.html", context, status=200 if form.is_valid() else 422)


@for_roles("bookkeeper")
@require_safe
def books_csv(request, sheet):
    if sheet not in SHEETS:
        raise Http404("No such page of the books.")
    _, table, rows = SHEETS[sheet]
    return csv_response(table(rows(_asked(request))), sheet)


@for_roles("bookkeeper")
@require_safe
def books_xlsx(request):
    # openpyxl is loaded with the first workbook, not with every start.
    from inventory.xlsx_out import xlsx_response  # noqa: PLC0415

    period = _asked(request)
    return xlsx_response({title: table(rows(period)) for title, table, rows in SHEETS.values()}, "books")


def _asked(request):
    form = PeriodForm(request.GET)
    if not form.is_valid():
        raise Http404("No such period.")
    return form.period


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def periods(request):
    form = CloseForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            row = close_period(by=request.user, **form.cleaned_data)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"The books are closed until {row.until.day} {row.until:%B %Y}.")
            return redirect("periods")
    return _periods(request, form, OpenForm())


@for_roles()
@require_POST
def period_open(request):
    form = OpenForm(request.POST)
    if form.is_valid():
        try:
            open_period(by=request.user, **form.cleaned_data)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, "The books are open again, and it is on record.")
            return redirect("periods")
    return _periods(request, CloseForm(), form)


def _periods(request, close: CloseForm, reopen: OpenForm):
    until = closed_until()
    said = f"The books are closed until {until.day} {until:%B %Y}." if until else "The books are open throughout."
    context = {
        "headline": said, "close": close, "reopen": reopen, "until": until, "may_open": works_as(request.user),
        "table": CloseTable(PeriodClose.objects.select_related("by")),
    }  # fmt: skip
    refused = close.errors or reopen.errors
    return render(request, "orders/books/periods.html", context, status=422 if refused else 200)
