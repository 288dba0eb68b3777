"""A paper's content (orders/documents/invoice.py, credit_note.py; shape 2) as what EN 16931 calls its business terms.

Amounts are Decimal in the paper's currency, days ISO text, quantities whole. `faults` re-adds the whole document to
the penny: the official rules let a VAT amount be wrong by almost a pound (BR-CO-17 as coded).
"""

import re
from dataclasses import dataclass
from decimal import Decimal

from orders.money import NOUGHT, PENNY, amount_of, line_net, vat_of

SHAPE = 2
TYPES = {"invoice": "380", "deposit invoice": "380", "credit note": "381"}  # UNTDID 1001
STANDARD = "urn:cen.eu:en16931:2017"
# What XML 1.0 cannot carry: control characters, lone surrogates and the two non-characters.
NOT_XML = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ud800-\udfff\ufffe\uffff]")


class NoEInvoice(ValueError):
    """This paper has no e-invoice; the message says why."""


@dataclass(frozen=True)
class Party:
    name: str
    lines: tuple[str, ...]
    town: str
    postcode: str
    country: str
    vat_number: str
    company_number: str = ""
    telephone: str = ""
    email: str = ""


@dataclass(frozen=True)
class Line:
    """`allowance` comes off quantity x price; net = what is left, half-up to the penny."""

    position: str
    code: str
    name: str
    quantity: int
    unit: str
    price: Decimal
    percent_off: str
    allowance: Decimal
    net: Decimal
    category: str
    percent: Decimal

    @property
    def full(self) -> Decimal:
        return self.net + self.allowance


@dataclass(frozen=True)
class Part:
    """An allowance or a charge of the whole document, on goods of one rate."""

    reason: str
    code: str
    base: Decimal | None
    of_percent: str
    amount: Decimal
    category: str
    percent: Decimal


@dataclass(frozen=True)
class Tax:
    category: str
    percent: Decimal
    taxable: Decimal
    vat: Decimal
    reason_code: str
    reason: str


@dataclass(frozen=True)
class Document:
    type_code: str
    number: str
    issued: str
    tax_point: str
    due: str
    currency: str
    rounding: str
    seller: Party
    buyer: Party
    deliver_to: Party | None
    reference: str
    preceding: tuple[tuple[str, str], ...]
    lines: tuple[Line, ...]
    allowances: tuple[Part, ...]
    charges: tuple[Part, ...]
    taxes: tuple[Tax, ...]
    goods: Decimal
    net: Decimal
    vat: Decimal
    gross: Decimal
    paid: Decimal
    payable: Decimal
    vat_in_sterling: Decimal | None
    account_name: str
    account: str
    sort_code: str
    terms: str
    note: str

    @property
    def is_credit(self) -> bool:
        return self.type_code == "381"

    @property
    def allowed(self) -> Decimal:
        return sum((part.amount for part in self.allowances), NOUGHT)

    @property
    def charged(self) -> Decimal:
        return sum((part.amount for part in self.charges), NOUGHT)


def document_of(content: dict) -> Document:
    """The business terms of a paper's content. NoEInvoice where the paper is none, too old, or lacks what the standard
    asks for."""
    if content.get("shape") != SHAPE or content.get("kind") not in TYPES:
        raise NoEInvoice("Only invoices and credit notes issued since they carry their codes have an e-invoice.")
    totals, sterling, bank = content["totals"], content["sterling"], content["workshop"]["bank"]
    places = {one["sent_to"]: one["place"] for one in content["deliveries"] if one["place"]}
    found = Document(
        type_code=TYPES[content["kind"]],
        number=_clean(content["number"]),
        issued=content["issued_iso"],
        tax_point=content["tax_point_iso"],
        due=content["due_iso"],
        currency=content["currency"],
        rounding=content["rounding"],
        seller=_party(content["workshop"]),
        buyer=_party(content["shop"]),
        deliver_to=_place(content["shop"]["name"], *places.values()) if len(places) == 1 else None,
        reference=_clean(content["references"][0]) if len(content["references"]) == 1 else "",
        preceding=tuple((_clean(one["number"]), one["issued_iso"]) for one in content["preceding"]),
        lines=tuple(_line(line) for one in content["deliveries"] for line in one["lines"]),
        allowances=tuple(map(_part, content["allowances"])),
        charges=tuple(map(_part, content["charges"])),
        taxes=tuple(map(_tax, content["rates"])),
        **{name: amount_of(totals[name]) for name in ("goods", "net", "vat", "gross", "paid")},
        payable=amount_of(totals["due"]),
        vat_in_sterling=amount_of(sterling["vat"]) if sterling else None,
        account_name=_clean(bank["account_name"]),
        account=bank["account_number"],
        sort_code=bank["sort_code"],
        terms=_clean(content["terms"]),
        note=_clean(" ".join(filter(None, [content.get("reason", ""), *content["notes"]]))),
    )
    _refuse_lacking(found)
    return found


def faults(document: Document) -> list[str]:
    """Every sum that does not re-add, by the rule it breaks. None for a document that is right to the penny."""
    return [*_line_faults(document), *_total_faults(document), *_tax_faults(document)]


def _line_faults(document: Document):
    for line in document.lines:
        full = line_net(line.quantity, line.price, NOUGHT)
        if full != line.full:
            made = f"{line.quantity} x {line.price} is {full}"
            yield f"line {line.position}: {made}, less {line.allowance} not {line.net}"


def _total_faults(document: Document):
    nets = sum((line.net for line in document.lines), NOUGHT)
    vat = sum((tax.vat for tax in document.taxes), NOUGHT)
    net = document.goods - document.allowed + document.charged
    for rule, right, printed in (
        ("BR-CO-10", nets, document.goods),
        ("BR-CO-13", net, document.net),
        ("BR-CO-14", vat, document.vat),
        ("BR-CO-15", document.net + document.vat, document.gross),
        ("BR-CO-16", document.gross - document.paid, document.payable),
    ):
        if right != printed:
            yield f"{rule}: {right} where {printed} is printed"


def _tax_faults(document: Document):
    at = {(tax.category, tax.percent): tax for tax in document.taxes}
    if len(at) != len(document.taxes) or not at:
        yield "BR-CO-18: one breakdown a category and rate, and at least one"
    sums = dict.fromkeys(at, NOUGHT)
    bearing = [(line, line.net) for line in document.lines]
    bearing += [(part, -part.amount) for part in document.allowances]
    bearing += [(part, part.amount) for part in document.charges]
    for what, amount in bearing:
        key = (what.category, what.percent)
        if key not in at:
            yield f"BR-{what.category}-01: nothing in the breakdown for {what.category} {what.percent} %"
        else:
            sums[key] += amount
    for key, tax in at.items():
        if sums[key] != tax.taxable:
            yield f"BR-{tax.category}-08: {sums[key]} is taxable where {tax.taxable} is printed"
        right = vat_of(tax.taxable, tax.percent, document.rounding)
        # The last credit of an invoice takes what is left of its VAT, which may be a penny beside the rate's.
        if abs(right - tax.vat) > (PENNY if document.is_credit else 0):
            yield f"BR-CO-17: {tax.percent} % of {tax.taxable} is {right}, rounded {document.rounding}, not {tax.vat}"


def _refuse_lacking(document: Document) -> None:
    seller, categories = document.seller, {tax.category for tax in document.taxes}
    if not seller.vat_number and not seller.company_number:
        raise NoEInvoice("The standard asks for the seller's VAT number or company number; the paper shows neither.")
    if "O" in categories and not seller.company_number:
        raise NoEInvoice("Without VAT the standard asks for the seller's company number; the paper shows none.")
    for party, who in ((seller, "seller"), (document.buyer, "buyer")):
        if not re.fullmatch("[A-Z]{2}", party.country):
            raise NoEInvoice(f"The standard asks for the {who}'s country in two letters; the paper has none.")


def _party(facts: dict) -> Party:
    place = facts["place"]
    return Party(
        name=_clean(facts["name"]),
        lines=tuple(map(_clean, place["lines"])),
        town=_clean(place["town"]),
        postcode=_clean(place["postcode"]),
        country=place["country"].upper(),
        vat_number=facts["vat_number"],
        company_number=_clean(facts.get("company_number", "")),
        telephone=_clean(facts.get("telephone", "")),
        email=_clean(facts.get("email", "")),
    )


def _place(name: str, place: dict) -> Party:
    return _party({"name": name, "place": place, "vat_number": ""})


def _line(line: dict) -> Line:
    return Line(
        position=str(line["position"]),
        code=_clean(line["code"]),
        name=_clean(line["name"]) + (" (seconds)" if line["seconds"] else ""),
        quantity=line["pairs"],
        unit=line["unit"],
        price=amount_of(line["price"]),
        percent_off=line["discount_percent"],
        allowance=amount_of(line["allowance"]),
        net=amount_of(line["net"]),
        category=line["category"],
        percent=Decimal(line["percent"]),
    )


def _part(part: dict) -> Part:
    base = part.get("base", "")
    return Part(
        reason=_clean(part["reason"]),
        code=part["code"],
        base=amount_of(base) if base else None,
        of_percent=part.get("of_percent", ""),
        amount=amount_of(part["amount"]),
        category=part["category"],
        percent=Decimal(part["percent"]),
    )


def _tax(part: dict) -> Tax:
    return Tax(
        category=part["category"],
        percent=Decimal(part["percent"]),
        taxable=amount_of(part["taxable"]),
        vat=amount_of(part["vat"]),
        reason_code=part["reason_code"],
        reason=_clean(part["reason"]),
    )


def _clean(text: str) -> str:
    """One line that XML can carry."""
    return " ".join(NOT_XML.sub(" ", text).split())
