"""Sheets in: choose a file, say what its headings mean, look at what comes of it, load it."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from config.roles import for_roles
from inventory.domain.sheets import check_sheet, load_file, read_file, remember_headings, take_in_sheet
from inventory.models import SheetFile
from inventory.sheets import SheetRefused
from inventory.sheets.words import headings_left_out, what_comes, what_is_wrong
from inventory.views.paging import RequestConfig
from orders.domain.sheets import KINDS
from orders.forms.sheets import HeadingsForm, SheetForm
from orders.tables.sheets import ColumnTable, FaultTable, OutcomeTable, SheetFileTable
from orders.views.refusals import placed

REFUSED, PER_PAGE = 422, 50


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def sheets_in(request):
    """Every sheet brought in, and the way to bring in the next."""
    form = (
        SheetForm(request.POST, request.FILES) if request.method == "POST" else SheetForm(initial=request.GET.dict())
    )
    if form.is_bound and form.is_valid():
        name = form.cleaned_data["file"].name
        try:
            file = take_in_sheet(kind=form.chosen, data=form.content(), name=name, by=request.user)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            return redirect("sheet_headings", file.pk)
    files = SheetFile.objects.select_related("taken_by").defer("data")
    table = SheetFileTable(files)
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    # A refused form has the page to itself.
    waiting = None if form.is_bound else files.filter(loaded_at=None).first()
    context = {"form": form, "table": table, "kinds": KINDS.values(), "waiting": waiting}
    return render(request, "orders/sheets/index.html", context, status=REFUSED if form.is_bound else 200)


@for_roles("owner")
@require_http_methods(["GET", "HEAD"])
def sheet_kind(request, kind: str):
    """What a sheet of this kind holds; with ?blank=xlsx an empty one to fill in."""
    if kind not in KINDS:
        raise Http404
    kind = KINDS[kind]
    columns = kind.columns()
    if request.GET.get("blank"):
        # openpyxl is loaded with the first workbook, not with every start.
        from inventory.xlsx_out import rows_response  # noqa: PLC0415

        said = [["Column", "A new row needs it", "What may stand there", "For example"]]
        said += [[one.label, "yes" if one.needed else "no", one.says, one.example] for one in columns]
        sheets = {kind.title: [[one.label for one in columns]], "What may stand there": said}
        return rows_response(sheets, f"blank-{kind.key}")
    context = {"kind": kind, "table": ColumnTable(columns), "count": len(columns)}
    return render(request, "orders/sheets/kind.html", context)


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def sheet_headings(request, pk: int):
    """Said once for a heading: what it means in every sheet of this kind. Where all are known it goes on at once."""
    file, kind = _waiting(pk)
    if file.loaded_at:
        return redirect(file)
    try:
        sheet, columns, matches = read_file(kind, bytes(file.data), file.name)
    except SheetRefused:
        # It was read when it was taken in, so the machine is busy: the file's own page says so.
        return redirect(file)
    if request.method != "POST" and "again" not in request.GET and all(match.sure for match in matches):
        return redirect(file)
    bound = request.POST if request.method == "POST" else None
    form = HeadingsForm(bound, matches=matches, columns=columns, sheet=sheet)
    if form.is_bound and form.is_valid():
        try:
            remember_headings(kind=kind, meant=form.meant, by=request.user)
        except ValidationError as error:
            form.add_error(None, error)
        else:
            return redirect(file)
    context = {"file": file, "kind": kind, "form": form, "sheet": sheet}
    context["unknown"] = sum(1 for match in matches if not match.sure)
    return render(request, "orders/sheets/headings.html", context, status=REFUSED if form.is_bound else 200)


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def sheet_in(request, pk: int):
    """What loading would do, or everything that stands against it; a POST loads."""
    file, kind = _waiting(pk)
    if file.loaded_at:
        return render(request, "orders/sheets/loaded.html", {"file": file, "kind": kind, "place": kind.place})
    status, refusals, result = 200, [], None
    try:
        if request.method == "POST":
            result = load_file(kind=kind, file=file, by=request.user)
            if result is None or not result.faults:
                messages.success(request, f"{file} is loaded." if result else f"{file} was loaded already.")
                return redirect(file)
            status = REFUSED
        else:
            result = check_sheet(kind=kind, data=bytes(file.data), name=file.name, by=request.user)
    except SheetRefused as refused:
        status, refusals = REFUSED, refused.faults
    except ValidationError as refused:
        status, refusals = REFUSED, refused.messages
    return _show_check(request, file=file, kind=kind, result=result, refusals=refusals, status=status)


def _show_check(request, *, file, kind, result, refusals, status):
    context = {"file": file, "kind": kind, "result": result, "refusals": refusals}
    if result:
        if result.faults:
            table, sentence = FaultTable(result.faults, headings=result.sheet.headings), what_is_wrong(result.faults)
        else:
            table, sentence = (
                OutcomeTable(result.outcomes),
                what_comes(result.outcomes, kind.one, kind.many, "can be loaded"),
            )
        RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
        context |= {"table": table, "sentence": sentence, "left_out": headings_left_out(result.matches)}
    return render(request, "orders/sheets/check.html", context, status=status)


def _waiting(pk: int):
    file = get_object_or_404(SheetFile.objects.select_related("taken_by", "loaded_by"), pk=pk)
    if file.kind not in KINDS:
        raise Http404
    return file, KINDS[file.kind]
