"""The bank's files: taking one in, saying its columns, looking at what is proposed, posting what is ticked."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import capfirst
from django.views.decorators.http import require_http_methods, require_POST

from config.roles import for_roles
from inventory.views.paging import RequestConfig
from inventory.words import counted
from orders.bank_csv import read_sheet
from orders.domain.bank import post_line_by_hand, post_proposed, put_aside, say_columns, take_in_file, take_up
from orders.forms.bank import AsideForm, ColumnsForm, FileForm, LinePartsForm, ShopForm
from orders.matching import Money
from orders.models import BankFile, BankLine, Shop
from orders.money import NOUGHT, in_pounds
from orders.queries.bank import bank_files, lines_waiting, proposals
from orders.queries.debts import open_papers
from orders.queries.payments import proposal_for
from orders.tables.bank import BankFileTable, BeginTable, DoneLineTable, ProposalTable
from orders.tables.debts import OpenTable
from orders.views.refusals import placed

REFUSED, SHOWN_ROWS, PER_PAGE = 422, 5, 50


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def bank(request):
    """Every file taken in, and the way to take in the next."""
    form = FileForm(request.POST, request.FILES) if request.method == "POST" else FileForm()
    if form.is_bound and form.is_valid():
        try:
            file = take_in_file(name=form.name, raw=form.raw, by=request.user)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            return redirect("bank_columns" if file.columns_id is None else "bank_file", file.pk)
    table = BankFileTable(bank_files())
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    first = BankFile.objects.filter(lines__in=lines_waiting()).order_by("pk").first()
    context = {"form": form, "table": table, "waiting": lines_waiting().count(), "first": first}
    return render(request, "orders/bank.html", context, status=REFUSED if form.is_bound else 200)


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def bank_columns(request, pk):
    """Said once for a bank: what each of its columns means."""
    file = get_object_or_404(BankFile, pk=pk)
    if file.columns_id is not None:
        return redirect(file)
    sheet = read_sheet(file.content)
    form = ColumnsForm(request.POST if request.method == "POST" else None, header=sheet.header)
    if form.is_bound and form.is_valid():
        try:
            say_columns(file=file, columns=form.instance, by=request.user)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            messages.success(request, f"The columns of {form.instance} are kept: its next file is read at once.")
            return redirect(file)
    context = {
        "file": file,
        "form": form,
        "begins": BeginTable(sheet.header, [cells for _, cells in sheet.rows[:SHOWN_ROWS]]),
        "count": counted(len(sheet.rows), "line"),
    }
    return render(request, "orders/bank_columns.html", context, status=REFUSED if form.is_bound else 200)


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def bank_file(request, pk):
    """The lines that wait, each with its proposal. Posting takes what is ticked, as it was seen."""
    file = get_object_or_404(BankFile.objects.select_related("columns"), pk=pk)
    if file.columns_id is None:
        return redirect("bank_columns", pk)
    refusal, chosen = "", None
    if request.method == "POST":
        chosen = _ticked(request)
        try:
            posted = post_proposed(file=file, seen=chosen, by=request.user)
        except ValidationError as error:
            refusal = " ".join(error.messages)
        else:
            if posted:
                total = in_pounds(sum((one.amount for one in posted), NOUGHT))
                messages.success(request, f"{counted(len(posted), 'payment')} posted, {total} in all.")
            else:
                messages.info(request, "Nothing was ticked that still waited, so nothing was posted.")
            return redirect(file)
    return _file_page(request, file, refusal, chosen)


def _file_page(request, file, refusal, chosen):
    found = proposals(file.lines.filter(payment=None, aside="").order_by("line"))
    if chosen is None:
        chosen = {one.pk: one.seen for one in found if one.match.sure and one.line.again == 1}
    done = file.lines.exclude(payment=None, aside="").select_related("payment__shop").order_by("line")
    done_table = DoneLineTable(done, prefix="done-")
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(done_table)
    context = {
        "file": file, "refusal": refusal, "found": found, "table": ProposalTable(found, chosen=chosen),
        "sure": sum(1 for one in found if one.match.sure), "done": done_table, "done_count": done.count(),
        "total": sum((one.line.amount for one in found), NOUGHT),
    }  # fmt: skip
    return render(request, "orders/bank_file.html", context, status=REFUSED if refusal else 200)


def _ticked(request) -> dict[int, str]:
    """Line and what was seen of it, for each tick; what is no such pair was never on the page."""
    found = {}
    for raw in request.POST.getlist("line"):
        line, _, seen = raw.partition(":")
        if line.isdecimal() and line.isascii() and len(line) <= 18:
            found[int(line)] = seen
    return found


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def bank_line(request, pk):
    """Post one line by hand: the shop first, then the papers."""
    line = get_object_or_404(BankLine.objects.select_related("file", "payment"), pk=pk)
    if line.payment is not None:
        return redirect(line.payment)
    asked = request.POST.get("shop") or request.GET.get("shop", "")
    shop_form = ShopForm({"shop": asked}) if asked else ShopForm()
    shop = shop_form.cleaned_data["shop"] if shop_form.is_bound and shop_form.is_valid() else None
    form = _line_form(request, line, shop) if shop else None
    if request.method == "POST" and form is not None and form.is_valid():
        try:
            made = post_line_by_hand(line=line, shop=shop, parts=form.parts, prompt=form.prompt, by=request.user)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            messages.success(request, f"{capfirst(made)} of {shop.name} is posted.")
            return redirect(line.file)
    return line_page(request, line, shop_form, shop=shop, form=form)


def _line_form(request, line: BankLine, shop: Shop) -> LinePartsForm:
    papers = [one for one in open_papers([shop.pk]) if one.currency == line.currency]
    found = proposal_for(shop, papers, Money(line.amount, line.on, str(line)), currency=line.currency)
    initial = {f"part_{key}": amount for key, amount in found.parts}
    initial |= {f"prompt_{key}": True for key in found.prompt}
    data = request.POST if request.method == "POST" and "aside" not in request.POST else None
    form = LinePartsForm(data, papers=papers, initial=initial)
    form.why = found.why
    return form


def line_page(request, line, shop_form, *, shop=None, form=None, aside=None):
    """The page of one line, with whatever was typed and refused."""
    table = OpenTable(form.papers, today=timezone.localdate(), form=form) if form else None
    context = {
        "line": line, "shop_form": shop_form, "shop": shop, "form": form, "table": table,
        "aside": aside or AsideForm(initial={"aside": line.aside}),
    }  # fmt: skip
    return render(request, "orders/bank_line.html", context, status=REFUSED if request.method == "POST" else 200)


@for_roles("bookkeeper")
@require_POST
def bank_line_aside(request, pk):
    """Put a line aside with a reason, or take it up again."""
    line = get_object_or_404(BankLine.objects.select_related("file"), pk=pk)
    if "up" in request.POST:
        take_up(line=line, by=request.user)
        messages.success(request, f"{line} waits again.")
        return redirect(line.file)
    form = AsideForm(request.POST)
    if form.is_valid():
        try:
            put_aside(line=line, reason=form.cleaned_data["aside"], by=request.user)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            messages.success(request, f"{line} is put aside.")
            return redirect(line.file)
    return line_page(request, line, ShopForm(), aside=form)
