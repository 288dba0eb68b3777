"""CII (Cross Industry Invoice) after EN 16931, as a hybrid PDF carries it. The order of elements is the schema's."""

from orders.e_invoice.document import STANDARD, Document, Line, Part, Party, Tax
from orders.e_invoice.ubl import CREDIT_TRANSFER, DISCOUNT
from orders.e_invoice.writing import Writer

_CII = "urn:un:unece:uncefact:data:standard:"
NAMES = {
    "rsm": f"{_CII}CrossIndustryInvoice:100",
    "ram": f"{_CII}ReusableAggregateBusinessInformationEntity:100",
    "udt": f"{_CII}UnqualifiedDataType:100",
    "qdt": f"{_CII}QualifiedDataType:100",
}
DAY = "102"  # UNTDID 2379: CCYYMMDD


def write_cii(document: Document) -> bytes:
    """The document as CII D22B in the profile of EN 16931, UTF-8."""
    out = Writer.root("rsm:CrossIndustryInvoice", NAMES)
    context = out.open("rsm:ExchangedDocumentContext/ram:GuidelineSpecifiedDocumentContextParameter")
    context.put("ram:ID", STANDARD)
    head = out.open("rsm:ExchangedDocument")
    head.put("ram:ID", document.number)
    head.put("ram:TypeCode", document.type_code)
    _day(head.open("ram:IssueDateTime"), document.issued)
    if document.note:
        head.open("ram:IncludedNote").put("ram:Content", document.note)
    trade = out.open("rsm:SupplyChainTradeTransaction")
    for line in document.lines:
        _line(trade.open("ram:IncludedSupplyChainTradeLineItem"), line)
    _agreement(trade.open("ram:ApplicableHeaderTradeAgreement"), document)
    delivery = trade.open("ram:ApplicableHeaderTradeDelivery")
    if document.deliver_to:
        _party(delivery.open("ram:ShipToTradeParty"), document.deliver_to, with_vat=False)
    _settlement(trade.open("ram:ApplicableHeaderTradeSettlement"), document)
    return out.bytes()


def _day(out: Writer, iso: str, kind: str = "udt:DateTimeString") -> None:
    out.put(kind, iso.replace("-", ""), format=DAY)


def _line(out: Writer, line: Line) -> None:
    out.open("ram:AssociatedDocumentLineDocument").put("ram:LineID", line.position)
    product = out.open("ram:SpecifiedTradeProduct")
    product.put("ram:SellerAssignedID", line.code)
    product.put("ram:Name", line.name)
    price = out.open("ram:SpecifiedLineTradeAgreement/ram:NetPriceProductTradePrice")
    price.put("ram:ChargeAmount", line.price)
    out.open("ram:SpecifiedLineTradeDelivery").put("ram:BilledQuantity", line.quantity, unitCode=line.unit)
    settled = out.open("ram:SpecifiedLineTradeSettlement")
    _category(settled.open("ram:ApplicableTradeTax"), line)
    if line.allowance:
        off = settled.open("ram:SpecifiedTradeAllowanceCharge")
        off.open("ram:ChargeIndicator").put("udt:Indicator", "false")
        off.put("ram:CalculationPercent", line.percent_off)
        if line.percent_off:
            off.put("ram:BasisAmount", line.full)
        off.put("ram:ActualAmount", line.allowance)
        off.put("ram:ReasonCode", DISCOUNT)
    settled.open("ram:SpecifiedTradeSettlementLineMonetarySummation").put("ram:LineTotalAmount", line.net)


def _category(out: Writer, at: Line | Part) -> None:
    out.put("ram:TypeCode", "VAT")
    out.put("ram:CategoryCode", at.category)
    if at.category != "O":
        out.put("ram:RateApplicablePercent", f"{at.percent:f}")


def _agreement(out: Writer, document: Document) -> None:
    registered = all(tax.category != "O" for tax in document.taxes)
    _party(out.open("ram:SellerTradeParty"), document.seller, with_vat=registered)
    _party(out.open("ram:BuyerTradeParty"), document.buyer, with_vat=registered)
    if document.reference:
        out.open("ram:BuyerOrderReferencedDocument").put("ram:IssuerAssignedID", document.reference)


def _party(out: Writer, party: Party, *, with_vat: bool) -> None:
    out.put("ram:Name", party.name)
    if party.company_number:
        out.open("ram:SpecifiedLegalOrganization").put("ram:ID", party.company_number)
    if party.telephone or party.email:
        contact = out.open("ram:DefinedTradeContact")
        if party.telephone:
            contact.open("ram:TelephoneUniversalCommunication").put("ram:CompleteNumber", party.telephone)
        if party.email:
            contact.open("ram:EmailURIUniversalCommunication").put("ram:URIID", party.email)
    first, second, *rest = (*party.lines, "", "")
    place = out.open("ram:PostalTradeAddress")
    place.put("ram:PostcodeCode", party.postcode)
    place.put("ram:LineOne", first)
    place.put("ram:LineTwo", second)
    place.put("ram:LineThree", ", ".join(filter(None, rest)))
    place.put("ram:CityName", party.town)
    place.put("ram:CountryID", party.country)
    if party.vat_number and with_vat:
        out.open("ram:SpecifiedTaxRegistration").put("ram:ID", party.vat_number, schemeID="VA")


def _settlement(out: Writer, document: Document) -> None:
    pays = document.account and not document.is_credit and document.payable > 0
    if pays:
        out.put("ram:PaymentReference", document.number)
    if document.vat_in_sterling is not None:
        out.put("ram:TaxCurrencyCode", "GBP")
    out.put("ram:InvoiceCurrencyCode", document.currency)
    if pays:
        means = out.open("ram:SpecifiedTradeSettlementPaymentMeans")
        means.put("ram:TypeCode", CREDIT_TRANSFER)
        account = means.open("ram:PayeePartyCreditorFinancialAccount")
        account.put("ram:AccountName", document.account_name)
        account.put("ram:ProprietaryID", f"{document.sort_code} {document.account}".strip())
    for tax in document.taxes:
        _tax(out.open("ram:ApplicableTradeTax"), tax, document.tax_point)
    for charge, parts in (("false", document.allowances), ("true", document.charges)):
        for part in parts:
            _allowance(out.open("ram:SpecifiedTradeAllowanceCharge"), charge, part)
    if document.terms or document.due:
        terms = out.open("ram:SpecifiedTradePaymentTerms")
        terms.put("ram:Description", document.terms)
        if document.due:
            _day(terms.open("ram:DueDateDateTime"), document.due)
    _sums(out.open("ram:SpecifiedTradeSettlementHeaderMonetarySummation"), document)
    for number, issued in document.preceding:
        before = out.open("ram:InvoiceReferencedDocument")
        before.put("ram:IssuerAssignedID", number)
        _day(before.open("ram:FormattedIssueDateTime"), issued, "qdt:DateTimeString")


def _tax(out: Writer, tax: Tax, tax_point: str) -> None:
    out.put("ram:CalculatedAmount", tax.vat)
    out.put("ram:TypeCode", "VAT")
    out.put("ram:ExemptionReason", tax.reason)
    out.put("ram:BasisAmount", tax.taxable)
    out.put("ram:CategoryCode", tax.category)
    out.put("ram:ExemptionReasonCode", tax.reason_code)
    if tax_point:
        _day(out.open("ram:TaxPointDate"), tax_point, "udt:DateString")
    if tax.category != "O":
        out.put("ram:RateApplicablePercent", f"{tax.percent:f}")


def _allowance(out: Writer, charge: str, part: Part) -> None:
    out.open("ram:ChargeIndicator").put("udt:Indicator", charge)
    if part.of_percent and part.base is not None:
        out.put("ram:CalculationPercent", part.of_percent)
        out.put("ram:BasisAmount", part.base)
    out.put("ram:ActualAmount", part.amount)
    out.put("ram:ReasonCode", part.code)
    out.put("ram:Reason", part.reason)
    _category(out.open("ram:CategoryTradeTax"), part)


def _sums(out: Writer, document: Document) -> None:
    out.put("ram:LineTotalAmount", document.goods)
    out.put("ram:ChargeTotalAmount", document.charged)
    out.put("ram:AllowanceTotalAmount", document.allowed)
    out.put("ram:TaxBasisTotalAmount", document.net)
    out.put("ram:TaxTotalAmount", document.vat, currencyID=document.currency)
    if document.vat_in_sterling is not None:
        out.put("ram:TaxTotalAmount", document.vat_in_sterling, currencyID="GBP")
    out.put("ram:GrandTotalAmount", document.gross)
    if document.paid:
        out.put("ram:TotalPrepaidAmount", document.paid)
    out.put("ram:DuePayableAmount", document.payable)
