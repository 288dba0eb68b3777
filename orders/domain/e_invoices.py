"""E-invoices of issued papers: made from the frozen content when they are first asked for, checked, stored once."""

import hashlib

from django.db import transaction
from django.utils import timezone

from inventory.printing import render_pdf
from orders.domain.papers import TEMPLATES, PaperDamaged, digest_of
from orders.e_invoice.cii import write_cii
from orders.e_invoice.document import Document, NoEInvoice, document_of, faults
from orders.e_invoice.schema import schema_faults
from orders.e_invoice.ubl import write_ubl
from orders.models import EInvoice, Paper
from orders.models.e_invoice import HYBRID, UBL
from orders.models.paper import CREDIT_NOTE, INVOICE

KINDS = (INVOICE, CREDIT_NOTE)
NAME_OF = {UBL: "{}.xml", HYBRID: "{}-e-invoice.pdf"}


def why_none(paper: Paper) -> str:
    """Why the paper has no e-invoice, in words; empty where it has."""
    try:
        _document(paper)
    except NoEInvoice as why:
        return str(why)
    return ""


def e_invoice_of(paper: Paper, syntax: str) -> EInvoice:
    """The paper's e-invoice in that syntax, made and stored when it is first asked for.

    NoEInvoice where the paper is none or lacks what the standard asks for, and where a sum does not re-add: then
    nothing is stored. PaperDamaged where content or bytes no longer fit their digest. Two who ask at once get one.
    """
    stored = EInvoice.objects.filter(paper=paper, syntax=syntax).first()
    if stored is None:
        stored = _store(paper, syntax, _made(paper, syntax))
    if hashlib.sha256(bytes(stored.data)).hexdigest() != stored.sha256:
        raise PaperDamaged(f"The stored e-invoice of {paper.number} does not fit its digest.")
    return stored


def _document(paper: Paper) -> Document:
    if paper.kind not in KINDS:
        raise NoEInvoice("Only invoices and credit notes have an e-invoice.")
    document = document_of(paper.content)
    if found := faults(document):
        raise NoEInvoice(f"Its sums do not re-add, so no e-invoice is made: {'; '.join(found)}.")
    return document


def _made(paper: Paper, syntax: str) -> bytes:
    if digest_of(paper.content) != paper.content_sha256:
        raise PaperDamaged(f"The content of {paper.number} does not fit its digest.")
    document = _document(paper)
    xml = write_ubl(document) if syntax == UBL else write_cii(document)
    if found := schema_faults(xml):
        raise NoEInvoice(f"The standard's schema refuses it: {'; '.join(found)}.")
    if syntax == UBL:
        return xml
    # Loaded with the first hybrid invoice, not with every start.
    from orders.e_invoice.hybrid import put_inside  # noqa: PLC0415

    pdf = render_pdf(TEMPLATES[paper.kind], {"paper": paper.content}, variant="pdf/a-3b")
    return put_inside(pdf, xml, number=document.number, seller=document.seller.name, title=paper.content["title"])


@transaction.atomic
def _store(paper: Paper, syntax: str, data: bytes) -> EInvoice:
    # Locked, so that a second one who asks waits and then finds the first one's bytes.
    Paper.objects.select_for_update().get(pk=paper.pk)
    row = {"data": data, "sha256": hashlib.sha256(data).hexdigest(), "made_at": timezone.now()}
    return EInvoice.objects.get_or_create(paper=paper, syntax=syntax, defaults=row)[0]
