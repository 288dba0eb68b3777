"""Issued papers: the stored bytes, singly or as one batch for a van day; void ones say so before they are shown."""

from datetime import date

from django.core.exceptions import PermissionDenied
from django.http import Http404
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_safe

from config.roles import for_roles, works_as
from inventory.views.pdf import pdf_response
from inventory.words import counted, day
from orders.documents.van_sheet import day_papers_pdf
from orders.domain.papers import PaperDamaged, PaperNotRendered, paper_pdf
from orders.models import Order, Paper
from orders.models.paper import CREDIT_NOTE, INVOICE, LATE_CHARGE, PRO_FORMA, REMINDER, STATEMENT
from orders.queries.packing import papers_of_order, papers_of_van
from orders.tables.packing import PaperTable

OF_THE_LEDGER = (INVOICE, CREDIT_NOTE, PRO_FORMA, STATEMENT, REMINDER, LATE_CHARGE)


@for_roles("packer", "bookkeeper")
@require_safe
def paper(request, pk):
    row = get_object_or_404(Paper.objects.select_related("shop", "cancellation__by"), pk=pk)
    if row.kind in OF_THE_LEDGER and not works_as(request.user, "bookkeeper"):
        raise PermissionDenied("Papers of the ledger belong to: bookkeeper")
    void = getattr(row, "cancellation", None)
    if void and "void" not in request.GET:
        context = {"paper": row, "void": void, "headline": f"{row.number} is CANCELLED: it counts for nothing."}
        return render(request, "orders/paper.html", context)
    try:
        pdf = paper_pdf(row)
    except (PaperNotRendered, PaperDamaged) as error:
        return _not_now(request, row, f"{row.number} cannot be shown just now.", error)
    return pdf_response(request, pdf, row.number)


@for_roles("packer", "bookkeeper")
@require_safe
def papers_of(request, number):
    order = get_object_or_404(Order.objects.select_related("shop"), number=number)
    rows = papers_of_order(order, invoices=works_as(request.user, "bookkeeper"))
    void = sum(hasattr(row, "cancellation") for row in rows)
    headline = f"Order {number} has {counted(len(rows), 'paper')}" + (f", {void} of them void" if void else "") + "."
    context = {"order": order, "table": PaperTable(rows), "headline": headline}
    return render(request, "orders/papers_of.html", context)


@for_roles("packer", "bookkeeper")
@require_safe
def day_papers(request, day_text):
    van_day = parse_day(day_text)
    deliveries = papers_of_van(van_day)
    if not deliveries:
        raise Http404("Nothing is packed for that day.")
    try:
        pdf = day_papers_pdf(deliveries, van_day=day(van_day))
    except (PaperNotRendered, PaperDamaged) as error:
        return _not_now(request, deliveries[0].note, "The batch cannot be made just now.", error)
    return pdf_response(request, pdf, f"van-{van_day.isoformat()}")


def _not_now(request, row: Paper, headline: str, error: Exception):
    context = {"paper": row, "reason": str(error), "headline": headline, "again": request.get_full_path()}
    return render(request, "orders/paper.html", context, status=503)


def parse_day(text: str) -> date:
    """The day an address names; 404 for anything else."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise Http404("No such day.") from None
