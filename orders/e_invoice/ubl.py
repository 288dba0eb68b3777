"""UBL 2.1 (Invoice, CreditNote) after EN 16931. The order of elements is the schema's."""

from orders.e_invoice.document import STANDARD, Document, Line, Part, Party, Tax
from orders.e_invoice.writing import Writer

NAMES = {
    "cac": "urn:oasis:names:specification:ubl:schema:xsd:CommonAggregateComponents-2",
    "cbc": "urn:oasis:names:specification:ubl:schema:xsd:CommonBasicComponents-2",
}
ROOTS = {
    "380": ("Invoice", "urn:oasis:names:specification:ubl:schema:xsd:Invoice-2"),
    "381": ("CreditNote", "urn:oasis:names:specification:ubl:schema:xsd:CreditNote-2"),
}
CREDIT_TRANSFER, DISCOUNT = "30", "95"  # UNCL4461, UNCL5189


def write_ubl(document: Document) -> bytes:
    """The document as UBL 2.1, UTF-8."""
    name, space = ROOTS[document.type_code]
    out = Writer.root(name, NAMES, default=space)
    _head(out, document)
    _supplier(out.open("cac:AccountingSupplierParty/cac:Party"), document)
    _customer(out.open("cac:AccountingCustomerParty/cac:Party"), document.buyer)
    if document.deliver_to:
        place = out.open("cac:Delivery")
        _address(place.open("cac:DeliveryLocation/cac:Address"), document.deliver_to)
        place.open("cac:DeliveryParty/cac:PartyName").put("cbc:Name", document.deliver_to.name)
    _payment(out, document)
    for charge, parts in (("false", document.allowances), ("true", document.charges)):
        for part in parts:
            _allowance(out.open("cac:AllowanceCharge"), charge, part, document.currency)
    _taxes(out, document)
    _sums(out.open("cac:LegalMonetaryTotal"), document)
    for line in document.lines:
        _line(out, line, document)
    return out.bytes()


def _head(out: Writer, document: Document) -> None:
    out.put("cbc:CustomizationID", STANDARD)
    out.put("cbc:ID", document.number)
    out.put("cbc:IssueDate", document.issued)
    # The two schemas order the tax point and the type differently.
    if document.is_credit:
        out.put("cbc:TaxPointDate", document.tax_point)
        out.put("cbc:CreditNoteTypeCode", document.type_code)
        out.put("cbc:Note", document.note)
    else:
        out.put("cbc:DueDate", document.due)
        out.put("cbc:InvoiceTypeCode", document.type_code)
        out.put("cbc:Note", document.note)
        out.put("cbc:TaxPointDate", document.tax_point)
    out.put("cbc:DocumentCurrencyCode", document.currency)
    if document.vat_in_sterling is not None:
        out.put("cbc:TaxCurrencyCode", "GBP")
    if document.reference:
        out.open("cac:OrderReference").put("cbc:ID", document.reference)
    for number, issued in document.preceding:
        before = out.open("cac:BillingReference/cac:InvoiceDocumentReference")
        before.put("cbc:ID", number)
        before.put("cbc:IssueDate", issued)


def _supplier(out: Writer, document: Document) -> None:
    seller = document.seller
    out.open("cac:PartyName").put("cbc:Name", seller.name)
    _address(out.open("cac:PostalAddress"), seller)
    # Category O forbids the seller's VAT number (BR-O-02).
    if seller.vat_number and all(tax.category != "O" for tax in document.taxes):
        _vat_number(out, seller)
    legal = out.open("cac:PartyLegalEntity")
    legal.put("cbc:RegistrationName", seller.name)
    legal.put("cbc:CompanyID", seller.company_number)
    if seller.telephone or seller.email:
        contact = out.open("cac:Contact")
        contact.put("cbc:Telephone", seller.telephone)
        contact.put("cbc:ElectronicMail", seller.email)


def _customer(out: Writer, buyer: Party) -> None:
    out.open("cac:PartyName").put("cbc:Name", buyer.name)
    _address(out.open("cac:PostalAddress"), buyer)
    if buyer.vat_number:
        _vat_number(out, buyer)
    out.open("cac:PartyLegalEntity").put("cbc:RegistrationName", buyer.name)


def _vat_number(out: Writer, party: Party) -> None:
    scheme = out.open("cac:PartyTaxScheme")
    scheme.put("cbc:CompanyID", party.vat_number)
    scheme.open("cac:TaxScheme").put("cbc:ID", "VAT")


def _address(out: Writer, party: Party) -> None:
    first, second, *rest = (*party.lines, "", "")
    out.put("cbc:StreetName", first)
    out.put("cbc:AdditionalStreetName", second)
    out.put("cbc:CityName", party.town)
    out.put("cbc:PostalZone", party.postcode)
    if further := ", ".join(filter(None, rest)):
        out.open("cac:AddressLine").put("cbc:Line", further)
    out.open("cac:Country").put("cbc:IdentificationCode", party.country)


def _payment(out: Writer, document: Document) -> None:
    if document.account and not document.is_credit and document.payable > 0:
        means = out.open("cac:PaymentMeans")
        means.put("cbc:PaymentMeansCode", CREDIT_TRANSFER)
        means.put("cbc:PaymentID", document.number)
        account = means.open("cac:PayeeFinancialAccount")
        account.put("cbc:ID", document.account)
        account.put("cbc:Name", document.account_name)
        if document.sort_code:
            account.open("cac:FinancialInstitutionBranch").put("cbc:ID", document.sort_code)
    if document.terms:
        out.open("cac:PaymentTerms").put("cbc:Note", document.terms)


def _allowance(out: Writer, charge: str, part: Part, currency: str) -> None:
    out.put("cbc:ChargeIndicator", charge)
    out.put("cbc:AllowanceChargeReasonCode", part.code)
    out.put("cbc:AllowanceChargeReason", part.reason)
    if part.of_percent and part.base is not None:
        out.put("cbc:MultiplierFactorNumeric", part.of_percent)
    out.put("cbc:Amount", part.amount, currencyID=currency)
    if part.of_percent and part.base is not None:
        out.put("cbc:BaseAmount", part.base, currencyID=currency)
    _category(out.open("cac:TaxCategory"), part)


def _category(out: Writer, at: Part | Line | Tax) -> None:
    out.put("cbc:ID", at.category)
    if at.category != "O":
        out.put("cbc:Percent", f"{at.percent:f}")
    if isinstance(at, Tax):
        out.put("cbc:TaxExemptionReasonCode", at.reason_code)
        out.put("cbc:TaxExemptionReason", at.reason)
    out.open("cac:TaxScheme").put("cbc:ID", "VAT")


def _taxes(out: Writer, document: Document) -> None:
    total = out.open("cac:TaxTotal")
    total.put("cbc:TaxAmount", document.vat, currencyID=document.currency)
    for tax in document.taxes:
        part = total.open("cac:TaxSubtotal")
        part.put("cbc:TaxableAmount", tax.taxable, currencyID=document.currency)
        part.put("cbc:TaxAmount", tax.vat, currencyID=document.currency)
        _category(part.open("cac:TaxCategory"), tax)
    if document.vat_in_sterling is not None:
        out.open("cac:TaxTotal").put("cbc:TaxAmount", document.vat_in_sterling, currencyID="GBP")


def _sums(out: Writer, document: Document) -> None:
    for name, amount in (
        ("LineExtensionAmount", document.goods),
        ("TaxExclusiveAmount", document.net),
        ("TaxInclusiveAmount", document.gross),
        ("AllowanceTotalAmount", document.allowed or None),
        ("ChargeTotalAmount", document.charged or None),
        ("PrepaidAmount", document.paid or None),
        ("PayableAmount", document.payable),
    ):
        out.put(f"cbc:{name}", amount, currencyID=document.currency)


def _line(out: Writer, line: Line, document: Document) -> None:
    kind, quantity = (
        ("CreditNoteLine", "CreditedQuantity") if document.is_credit else ("InvoiceLine", "InvoicedQuantity")
    )
    row = out.open(f"cac:{kind}")
    row.put("cbc:ID", line.position)
    row.put(f"cbc:{quantity}", line.quantity, unitCode=line.unit)
    row.put("cbc:LineExtensionAmount", line.net, currencyID=document.currency)
    if line.allowance:
        off = row.open("cac:AllowanceCharge")
        off.put("cbc:ChargeIndicator", "false")
        off.put("cbc:AllowanceChargeReasonCode", DISCOUNT)
        off.put("cbc:MultiplierFactorNumeric", line.percent_off)
        off.put("cbc:Amount", line.allowance, currencyID=document.currency)
        if line.percent_off:
            off.put("cbc:BaseAmount", line.full, currencyID=document.currency)
    item = row.open("cac:Item")
    item.put("cbc:Name", line.name)
    if line.code:
        item.open("cac:SellersItemIdentification").put("cbc:ID", line.code)
    _category(item.open("cac:ClassifiedTaxCategory"), line)
    row.open("cac:Price").put("cbc:PriceAmount", line.price, currencyID=document.currency)
