"""E-invoices of issued papers: made once, checked before they are stored, read back out of the PDF."""

import io

import facturx
import pytest
from django.db import DatabaseError, transaction
from django.urls import reverse
from lxml import etree
from pypdf import PdfReader

from inventory.models import Workshop
from orders.audit.papers import breaches
from orders.domain.e_invoices import e_invoice_of, why_none
from orders.e_invoice.document import NoEInvoice
from orders.models import EInvoice, Shop
from orders.models.e_invoice import HYBRID, UBL
from tests.factories import make_person
from tests.orders.invoices import issue, make_invoiced_shop, sell

pytestmark = pytest.mark.django_db
RDF = "{http://www.w3.org/1999/02/22-rdf-syntax-ns#}RDF"
ODD = "Wick & <Wax> «Ö'Neill» \u200fשמן 🕯"


@pytest.fixture
def paper():
    shop = make_invoiced_shop()
    Shop.objects.filter(pk=shop.pk).update(name=ODD)
    shop.refresh_from_db()
    return issue(shop, sell(shop, 24, 12)[1]).paper


def test_the_xml_holds_the_paper_and_odd_names(paper):
    row = e_invoice_of(paper, UBL)
    root = etree.fromstring(bytes(row.data))
    assert root.find("{*}ID").text == paper.number
    assert root.find("{*}LegalMonetaryTotal/{*}PayableAmount").text == paper.content["totals"]["due"].replace(",", "")
    assert root.find("{*}AccountingCustomerParty//{*}RegistrationName").text == " ".join(ODD.split())
    assert e_invoice_of(paper, UBL).pk == row.pk
    assert EInvoice.objects.count() == 1


def test_the_pdf_has_the_same_invoice_inside(paper):
    pdf = bytes(e_invoice_of(paper, HYBRID).data)
    name, xml = facturx.get_xml_from_pdf(pdf, check_xsd=True)
    assert name == "factur-x.xml"
    assert etree.fromstring(xml).find(".//{*}ExchangedDocument/{*}ID").text == paper.number
    root = PdfReader(io.BytesIO(pdf)).trailer["/Root"]
    packet = etree.fromstring(root["/Metadata"].get_object().get_data())
    assert len([packet, *packet.iter(RDF)]) == 2  # xmpmeta with one rdf:RDF in it
    text = etree.tostring(packet, encoding="unicode")
    for said in ("EN 16931", "factur-x.xml", "urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#", "pdfaExtension"):
        assert said in text
    assert packet.findtext(".//{http://www.aiim.org/pdfa/ns/id/}part") == "3"
    assert packet.findtext(".//{http://www.aiim.org/pdfa/ns/id/}conformance") == "B"
    assert root["/AF"][0].get_object()["/AFRelationship"] == "/Data"
    assert root["/OutputIntents"]


def test_the_pages_give_them_to_the_bookkeeper(client_for, paper):
    client = client_for("bookkeeper")
    answer = client.get(reverse("e_invoice_xml", args=[paper.pk]))
    assert answer["Content-Type"] == "application/xml"
    assert f'filename="{paper.number.lower()}.xml"' in answer["Content-Disposition"]
    assert client.get(reverse("e_invoice_pdf", args=[paper.pk])).content.startswith(b"%PDF-")
    assert client.post(reverse("e_invoice_xml", args=[paper.pk])).status_code == 405
    assert client_for("packer").get(reverse("e_invoice_xml", args=[paper.pk])).status_code == 403


def test_a_delivery_note_has_none(client_for, paper):
    note = paper.invoice.deliveries.get().delivery.note
    answer = client_for("bookkeeper").get(reverse("e_invoice_xml", args=[note.pk]))
    assert answer.status_code == 409
    assert "Only invoices and credit notes have an e-invoice." in answer.content.decode()


def test_without_vat_the_company_number_is_asked_for():
    shop = make_invoiced_shop()
    Workshop.objects.update(vat_number="", company_number="")
    bare = issue(shop, sell(shop, 24)[1]).paper
    assert "company number" in why_none(bare)
    with pytest.raises(NoEInvoice):
        e_invoice_of(bare, UBL)
    assert not EInvoice.objects.exists()
    Workshop.objects.update(company_number="00000042")
    named = issue(shop, sell(shop, 24)[1]).paper
    assert b"VATEX-EU-O" in bytes(e_invoice_of(named, UBL).data)


def test_stored_bytes_never_change(paper):
    row = e_invoice_of(paper, UBL)
    with pytest.raises(DatabaseError), transaction.atomic():
        EInvoice.objects.filter(pk=row.pk).update(data=b"other")
    assert list(breaches()) == []


def test_bytes_that_do_not_fit_their_digest_are_told_by_the_audit(paper):
    make_person()
    EInvoice.objects.create(paper=paper, syntax=UBL, data=b"<x/>", sha256="0" * 64, made_at=paper.issued_at)
    assert [breach for breach in breaches() if "e-invoice" in breach] == [
        f"paper {paper.number}: its stored e-invoice (ubl) does not fit its digest"
    ]
