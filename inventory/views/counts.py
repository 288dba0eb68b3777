"""Stock counts: the sheet, typing it in, its differences, posting."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles
from inventory.domain.counts import discard_count, post_count, start_count, type_in
from inventory.domain.versions import StaleVersion
from inventory.forms.counts import CountForm, StartForm, VersionForm
from inventory.models import StockCount, Workshop
from inventory.printing import render_pdf
from inventory.queries.counts import all_counts, differences, rows_of
from inventory.queries.records import records_of
from inventory.tables.counts import CountTable, DifferenceTable, TypeInTable
from inventory.tables.stockroom import RecordTable
from inventory.views.lists import PER_PAGE
from inventory.views.paging import RequestConfig
from inventory.words import counted, day, in_pairs

COUNTS = StockCount.objects.select_related("shelf", "started_by", "posted_by")


@for_roles("packer", "dipper")
@require_safe
def stock_counts(request):
    return _counts_page(request, StartForm())


@for_roles("packer", "dipper")
@require_POST
def stock_count_new(request):
    form = StartForm(request.POST)
    if form.is_valid():
        try:
            count = start_count(shelf=form.cleaned_data["shelf"], by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"{count} is begun: {counted(count.rows.count(), 'lot')} on the sheet.")
            return redirect(count)
    return _counts_page(request, form)


@for_roles("packer", "dipper")
@require_safe
def stock_count(request, pk):
    return _count_page(request, get_object_or_404(COUNTS, pk=pk))


@for_roles("packer", "dipper")
@require_safe
def stock_count_sheet(request, pk):
    count = get_object_or_404(COUNTS, pk=pk)
    context = {
        "count": count,
        "rows": list(rows_of(count)),
        "show_expected": "expected" in request.GET,
        "workshop": Workshop.objects.filter(pk=1).first(),
    }
    response = HttpResponse(render_pdf("print/stock_count.html", context), content_type="application/pdf")
    response["Content-Disposition"] = f'inline; filename="stock-count-{count.pk}.pdf"'
    return response


@for_roles("packer", "dipper")
@require_http_methods(["GET", "HEAD", "POST"])
def stock_count_type(request, pk):
    count = get_object_or_404(COUNTS, pk=pk)
    if request.method != "POST" and count.posted_at:
        return redirect(count)
    form = CountForm(request.POST or None, count=count, rows=rows_of(count))
    if request.method == "POST" and form.is_valid():
        try:
            count = type_in(
                count=count,
                version=form.cleaned_data["version"],
                counted_at=form.cleaned_data["counted_at"],
                counted=form.counted(),
                found=form.found(),
                by=request.user,
            )
        except StaleVersion as stale:
            form = _with_version(form, request.POST, count)
            form.add_error(None, stale)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, "Kept. Nothing has moved yet.")
            return redirect("stock_count_type" if "go_on" in request.POST else "stock_count", pk=pk)
    return _type_page(request, count, form)


@for_roles("owner")
@require_POST
def stock_count_post(request, pk):
    count = get_object_or_404(COUNTS, pk=pk)
    form = VersionForm(request.POST)
    if form.is_valid():
        try:
            count = post_count(count=count, version=form.cleaned_data["version"], by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"{count} is posted. The book says now what was counted.")
            return redirect(count)
    return _count_page(request, count, form)


@for_roles("packer", "dipper")
@require_POST
def stock_count_discard(request, pk):
    count = get_object_or_404(COUNTS, pk=pk)
    form = VersionForm(request.POST)
    if form.is_valid():
        try:
            discard_count(count=count, version=form.cleaned_data["version"], by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"Count {pk} is thrown away. No pairs moved.")
            return redirect("stock_counts")
    return _count_page(request, count, form)


def _counts_page(request, form):
    table = CountTable(all_counts())
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    last = StockCount.objects.exclude(posted_at=None).order_by("-posted_at").first()
    said = f"The last count was posted on {day(last.posted_at)}" if last else "No count has been posted yet"
    waiting = StockCount.objects.filter(posted_at=None).count()
    headline = f"{said}; {counted(waiting, 'sheet')} open." if waiting else f"{said}."
    context = {"table": table, "form": form, "headline": headline}
    return render(request, "inventory/stock_counts.html", context, status=422 if form.errors else 200)


def _count_page(request, count, form=None):
    if form:
        # A refused post found what others did meanwhile: show it as it is now.
        count = get_object_or_404(COUNTS, pk=count.pk)
    rows = differences(count)
    found = [row for row in rows if row.difference]
    done = sum(row.counted is not None for row in rows)
    context = {
        "count": count,
        "headline": _in_words(count, rows, found, done),
        "table": DifferenceTable([row for row in rows if row.difference or row.since], count=count),
        "done": done,
        "left_out": len(rows) - done,
        "short": any(row.below_set_aside for row in found),
        "form": form or VersionForm(initial={"version": count.version}),
        "version": count.version,
        "records": RecordTable(records_of("count", count.pk)),
    }
    status = 422 if form and form.errors else 200
    return render(request, "inventory/stock_count.html", context, status=status)


def _in_words(count, rows, found, done) -> str:
    lots = counted(len(rows), "lot")
    if not done:
        return f"{count}: {lots} to count, nothing typed in yet."
    said = f"{count}: {done:,} of {lots} counted"
    if not found:
        return f"{said}, and all agree with the book."
    total = sum(row.difference for row in found)
    sum_of_all = f"{in_pairs(abs(total))} {'more' if total > 0 else 'fewer'} in all" if total else "evening out"
    many = counted(len(found), "differs", "differ")
    return f"{said}; {many}, {sum_of_all}{'' if count.posted_at else ', not posted yet'}."


def _with_version(form, data, count) -> CountForm:
    """The same typing over again, made from the sheet as it stands now."""
    count.refresh_from_db()
    data = data.copy()
    data["version"] = count.version
    return CountForm(data, count=count, rows=rows_of(count))


def _type_page(request, count, form):
    context = {
        "count": count,
        "form": form,
        "table": TypeInTable(form.bound_rows()),
        "theirs": _theirs(form) if form.non_field_errors() else [],
    }
    return render(request, "inventory/stock_count_type.html", context, status=422 if form.errors else 200)


def _theirs(form) -> list[tuple[str, int, str]]:
    """Rows that somebody else typed in otherwise: lot, their figure, what stands in the form."""
    typed = ((row, form[form.name_of(row)].value()) for row in form.rows)
    return [(row.lot.code, row.counted, said or "nothing") for row, said in typed if _differs(row.counted, said)]


def _differs(kept: int | None, said: str | None) -> bool:
    return kept is not None and str(kept) != (said or "").strip()
