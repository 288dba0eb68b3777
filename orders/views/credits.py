"""Credit notes: making one of an invoice, looking at one; and the evidence of an export."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_safe

from config.roles import for_roles
from inventory.queries.records import records_of
from inventory.words import day
from orders.domain.credit_draft import draft_credit
from orders.domain.crediting import credit_figures, issue_credit
from orders.domain.evidence import put_down_evidence
from orders.forms.credits import CreditForm, EvidenceForm
from orders.models import CreditNote, ExportEvidence, Invoice, PaperFile
from orders.money import in_pounds
from orders.queries.credits import left_of
from orders.tables.credits import CreditLineTable, ToCreditTable
from orders.tables.invoices import VatTable
from orders.tables.order_page import StoryTable
from orders.tax_point import last_day_to_credit
from orders.views.refusals import placed

REFUSED = 422
SUMS = ("goods", "allowance", "deposit", "carriage", "net", "vat", "gross")


@for_roles("bookkeeper")
@require_http_methods(["GET", "HEAD", "POST"])
def credit_new(request, pk):
    """The form answers "show the figures" with them, and issues what was seen."""
    invoice = get_object_or_404(Invoice.objects.select_related("shop", "paper"), pk=pk)
    left = left_of(invoice)
    form = CreditForm(request.POST if request.method == "POST" else None, left=left)
    draft = None
    if form.is_bound and form.is_valid():
        try:
            if "issue" in request.POST:
                return _issued(request, invoice, form)
            draft = draft_credit(invoice=invoice, asked=form.asked, issued_on=timezone.localdate())
        except ValidationError as error:
            form.add_error(None, placed(form, error))
    context = {
        "invoice": invoice,
        "left": left,
        "form": form,
        "table": ToCreditTable(form.lines, form=form),
        **_preview(draft),
    }
    status = REFUSED if form.is_bound and not draft else 200
    return render(request, "orders/credit_new.html", context, status=status)


def _issued(request, invoice: Invoice, form: CreditForm):
    given = form.cleaned_data
    note = issue_credit(
        invoice=invoice,
        asked=form.asked,
        issued_on=timezone.localdate(),
        by=request.user,
        submission=given["submission"],
        seen=given["seen"],
    )
    messages.success(request, f"{note} is issued: {in_pounds(note.gross)} {note.currency} off {invoice}.")
    late = last_day_to_credit(note.tax_point)
    if note.paper.issued_on > late:
        messages.warning(request, f"It was due by {day(late)}, 14 days beginning with the day it was set off.")
    if note.anew:
        return redirect("invoice_new", invoice.shop_id)
    return redirect(note)


def _preview(draft) -> dict:
    if draft is None:
        return {}
    return {
        "draft": draft,
        "seen": credit_figures(draft),
        "lines": CreditLineTable(draft.lines),
        "rates": VatTable(draft.total.rates),
        "figures": {name: in_pounds(getattr(draft.total, name)) for name in SUMS},
    }


@for_roles("bookkeeper")
@require_safe
def credit_note(request, pk):
    rows = CreditNote.objects.select_related("paper__issued_by", "shop", "invoice__paper", "came_back__delivery__note")
    row = get_object_or_404(rows, pk=pk)
    lines = row.lines.select_related("invoice_line__order_line__candle", "invoice_line__order_line__order")
    context = {
        "note": row,
        "content": row.paper.content,
        "figures": row.paper.content["totals"],
        "back": getattr(row, "came_back", None),
        "lines": CreditLineTable(lines),
        "rates": VatTable(row.vat_rows.all()),
        "sha256": PaperFile.objects.filter(paper=row.paper).values_list("sha256", flat=True).first(),
        "story": StoryTable(records_of("credit note", pk)),
    }
    return render(request, "orders/credit_note.html", context)


@for_roles("bookkeeper")
@require_http_methods(["GET", "HEAD", "POST"])
def export_evidence(request, pk):
    rows = ExportEvidence.objects.select_related("invoice__shop", "invoice__paper")
    row = get_object_or_404(rows, invoice__pk=pk)
    initial = {"received_on": row.received_on, "note": row.note} if row.received_on else {}
    form = EvidenceForm(request.POST if request.method == "POST" else None, initial=initial)
    if form.is_bound and form.is_valid():
        try:
            put_down_evidence(invoice=row.invoice, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            messages.success(request, f"The evidence of {row.invoice} is put down.")
            return redirect(row.invoice)
    context = {"row": row, "form": form, "late": row.due_by < timezone.localdate()}
    return render(request, "orders/export_evidence.html", context, status=REFUSED if form.is_bound else 200)
