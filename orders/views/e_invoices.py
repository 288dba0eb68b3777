"""E-invoices to take away: the XML a shop's books can read, and the PDF that has its data inside."""

from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.text import slugify
from django.views.decorators.http import require_safe

from config.roles import for_roles
from inventory.views.pdf import pdf_response
from orders.domain.e_invoices import e_invoice_of
from orders.domain.papers import PaperDamaged
from orders.e_invoice.document import NoEInvoice
from orders.models import Paper
from orders.models.e_invoice import HYBRID, UBL


@for_roles("bookkeeper")
@require_safe
def e_invoice_xml(request, pk):
    return _answer(request, pk, UBL)


@for_roles("bookkeeper")
@require_safe
def e_invoice_pdf(request, pk):
    return _answer(request, pk, HYBRID)


def _answer(request, pk: int, syntax: str) -> HttpResponse:
    paper = get_object_or_404(Paper.objects.select_related("shop"), pk=pk)
    try:
        data = bytes(e_invoice_of(paper, syntax).data)
    except (NoEInvoice, PaperDamaged) as why:
        context = {"paper": paper, "reason": str(why), "headline": f"{paper.number} has no e-invoice.", "ledger": True}
        return render(request, "orders/paper.html", context, status=409)
    if syntax == HYBRID:
        return pdf_response(request, data, f"{paper.number}-e-invoice")
    answer = HttpResponse(data, content_type="application/xml")
    answer["Content-Disposition"] = f'attachment; filename="{slugify(paper.number)}.xml"'
    answer["Cache-Control"] = "private, no-cache"
    return answer
