"""A PDF with its data inside: the printed invoice, and the same invoice as CII. Built as PDF/A-3b; no conformance
checker has looked at it."""

from facturx import generate_from_binary


def put_inside(pdf: bytes, cii: bytes, *, number: str, seller: str, title: str) -> bytes:
    """`pdf` (already PDF/A-3b) with the CII attached as factur-x.xml and its XMP extension, in one metadata packet."""
    return generate_from_binary(
        pdf,
        cii,
        flavor="factur-x",
        level="en16931",
        check_xsd=False,  # orders.e_invoice.schema has done so already
        check_schematron=False,
        pdf_metadata={"author": seller, "keywords": "Factur-X", "title": f"{title} {number}", "subject": number},
        lang="en-GB",
        afrelationship="data",
    )
