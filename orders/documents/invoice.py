"""The content of an invoice, frozen when it is issued: everything printed on it, and the codes an e-invoice needs.

Fields after VAT Regulations 1995 reg. 14(1) (number, tax point, date, both parties, each line's quantity, unit price,
rate and net, net total, VAT in sterling) and EN 16931 (VAT by category and rate). Amounts are text, as printed.
"""

from inventory.models import SECONDS
from inventory.words import counted, day
from orders.domain.invoice_draft import DraftLine, InvoiceDraft
from orders.money import RateSum, in_pounds

PAIR = "PR"  # UN/ECE Rec 20
ROUNDING = {
    "half-up": "VAT is reckoned on each rate's total and rounded to the nearest penny, half a penny up.",
    "down": "VAT is reckoned on each rate's total and rounded down to the whole penny.",
}


def invoice_content(draft: InvoiceDraft) -> dict:
    """Plain text, numbers, lists and dicts; the paper's number is put in when it is issued."""
    return {
        "title": draft.title,
        "currency": "GBP",
        "issued_on": day(draft.issued_on),
        "issued_iso": draft.issued_on.isoformat(),
        "tax_point": day(draft.tax_point.day),
        "tax_point_iso": draft.tax_point.day.isoformat(),
        "tax_point_why": draft.tax_point.why,
        "due_on": day(draft.due_on),
        "due_iso": draft.due_on.isoformat(),
        "vat_invoice": draft.vat_invoice,
        "registered": bool(draft.workshop.vat_number),
        "workshop": _workshop(draft),
        "shop": {
            "name": draft.shop.name,
            "address": draft.address.as_lines,
            "country": draft.address.country,
            "vat_number": draft.shop.vat_number,
        },
        "references": sorted({delivery.order.reference for delivery in draft.deliveries} - {""}),
        "deliveries": [_delivery(draft, delivery) for delivery in draft.deliveries],
        "carriage": [{"why": part.why, "amount": in_pounds(part.amount)} for part in draft.carriage],
        "rates": [_rate(part) for part in draft.total.rates],
        "totals": {
            name: in_pounds(getattr(draft.total, name)) for name in ("goods", "carriage", "net", "vat", "gross")
        },
        "terms": terms_sentence(draft),
        "notes": _notes(draft),
    }


def terms_sentence(draft: InvoiceDraft) -> str:
    """What is to be paid, and by which day."""
    gross, due = in_pounds(draft.total.gross), day(draft.due_on)
    if draft.shop.pro_forma_first:
        return f"Your terms are payment before we send: £{gross} is due now, {due}."
    days = draft.shop.terms_days
    if not days:
        return f"Please pay £{gross} on receipt: it is due on {due}."
    return f"Please pay £{gross} by {due}, {counted(days, 'day')} from the date of this invoice."


def _workshop(draft: InvoiceDraft) -> dict:
    house = draft.workshop
    place = [*house.address.splitlines(), house.town, house.postcode]
    return {
        "name": house.name,
        "address": [line.strip() for line in place if line.strip()],
        "country": house.country,
        "telephone": house.telephone,
        "email": house.email,
        "vat_number": house.vat_number,
        "company_number": house.company_number,
        "bank": {
            "name": house.bank_name,
            "account_name": house.account_name,
            "sort_code": house.sort_code,
            "account_number": house.account_number,
        },
    }


def _delivery(draft: InvoiceDraft, delivery) -> dict:
    order = delivery.order
    lines = [line for line in draft.lines if line.delivery.pk == delivery.pk]
    return {
        "number": str(delivery),
        "order": str(order.number),
        "reference": order.reference,
        "left_on": day(delivery.left_on),
        "sent_to": ", ".join(order.deliver_to.as_lines) if order.deliver_to else "",
        "lines": [_line(line) for line in lines],
    }


def _line(line: DraftLine) -> dict:
    candle, seconds = line.order_line.candle, line.order_line.order.grade == SECONDS
    return {
        "code": candle.code,
        "name": candle.name,
        "seconds": seconds,
        "pairs": line.pairs,
        "unit": PAIR,
        "price": in_pounds(line.price),
        "discount": f"{line.discount.normalize():f} %" if line.discount else "",
        "category": line.rate.category,
        "rate": rate_in_words(line.rate),
        "net": in_pounds(line.net),
    }


def _rate(part: RateSum) -> dict:
    return {
        "category": part.rate.category,
        "percent": f"{part.rate.percent.normalize():f}",
        "rate": rate_in_words(part.rate),
        "goods": in_pounds(part.goods),
        "carriage": in_pounds(part.carriage),
        "taxable": in_pounds(part.taxable),
        "vat": in_pounds(part.vat),
    }


def rate_in_words(rate) -> str:
    """20 %, "zero rated" or "no VAT": a rate of nought says why it is nought."""
    return {"Z": "zero rated", "O": "no VAT"}.get(rate.category, str(rate))


def _notes(draft: InvoiceDraft) -> list[str]:
    if not draft.workshop.vat_number:
        return ["We are not registered for VAT: no VAT is charged, and this is not a VAT invoice."]
    notes = [ROUNDING[draft.workshop.vat_rounding]]
    if any(part.rate.category == "Z" for part in draft.total.rates):
        notes.append("No VAT is charged on what is marked zero rated.")
    if any(line.order_line.order.grade == SECONDS for line in draft.lines):
        notes.append("Seconds are sold as such, with the faults of their kind.")
    return notes
