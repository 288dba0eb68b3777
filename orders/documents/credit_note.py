"""The content of a credit note, frozen when it is issued: everything printed on it, and all an e-invoice needs.

Particulars as VAT Regulations 1995 reg. 15C asks of the debit note (number, date, both parties, number and date of
the invoice, description), and the amount, rate and VAT credited (from memory). For a change of rate the heading of
reg. 15.

The shape is the invoice's (documents/invoice.py: `shape` 2, amounts as printed, above nought), with these differences:

    kind        "credit note" (BT-3: 381)       title  "Credit note" or "Credit note-change of VAT rate"
    tax_point   the day the amount was set off or paid back (BT-7)      due_on, due_iso  ""
    invoice     {number, issued_on, issued_iso, tax_point}: what it takes off; the same in `preceding` (BT-25)
    why         "returned", "broken", "overcharged", "mistake" or "rate"        reason  in words (BT-22)
    deliveries  one entry with number "": its lines are those credited, each with `invoice_position`; a line without
                pairs (an amount off) has pairs 1, unit C62, its net as price
    allowances  the order's discount given back with the goods ("discount"), and what is credited on a deposit's own
                invoice instead ("deposit"): both come off the lines, as on the invoice
    totals      due: the gross amount credited          prompt {}
"""

from decimal import Decimal

from inventory.models import SECONDS
from inventory.words import day
from orders.documents.ledger_parts import (
    DISCOUNT,
    ONE,
    PAIR,
    ROUNDING,
    SHAPE,
    bare,
    buyer_of,
    charges_of,
    house_of,
    money,
    rate_facts,
    rate_sums,
    sterling_facts,
    totals_of,
    treatment_facts,
)
from orders.domain.drafts import CreditDraft, CreditLine
from orders.models.credit import RATE
from orders.money import Rate, in_pounds, line_net, symbol_of

RATE_HEADING = "Credit note-change of VAT rate"  # the words of VAT Regulations 1995 reg. 15


def credit_content(draft: CreditDraft) -> dict:
    """Plain text, numbers, lists and dicts; the paper's number is put in when it is issued."""
    invoice, printed = draft.invoice, draft.invoice.paper.content
    registered = any(part.rate.category != "O" for part in draft.total.rates)
    of = {
        "number": invoice.paper.number,
        "issued_on": day(invoice.paper.issued_on),
        "issued_iso": invoice.paper.issued_on.isoformat(),
        "tax_point": day(invoice.tax_point),
    }
    return {
        **_head(draft, of, registered),
        "workshop": house_of(draft.workshop),
        "shop": buyer_of(draft.shop, draft.address),
        "invoice": of,
        "preceding": [{name: of[name] for name in ("number", "issued_on", "issued_iso")}],
        "why": draft.why,
        "reason": draft.reason,
        "references": printed.get("references", []),
        "deliveries": [_lines(draft)],
        "allowances": _allowances(draft),
        "carriage": _carriage(draft),
        "charges": charges_of(draft.total),
        "rates": rate_sums(draft.total, draft.reasons),
        "totals": totals_of(draft.total),
        "sterling": sterling_facts(draft.sterling, invoice.currency, f"invoice {invoice.paper.number}"),
        "prompt": {},
        "terms": f"{money(draft.total.gross, invoice.currency)} comes off invoice {of['number']} of "
        f"{of['issued_on']}; what of that is paid already stands to your credit.",
        "notes": _notes(draft, registered),
    }


def _head(draft: CreditDraft, of: dict, registered: bool) -> dict:
    """What kind of paper it is, of which days, and how it treats VAT."""
    invoice = draft.invoice
    return {
        "shape": SHAPE,
        "kind": "credit note",
        "title": RATE_HEADING if draft.why == RATE else "Credit note",
        "currency": invoice.currency,
        "symbol": symbol_of(invoice.currency),
        "issued_on": day(draft.issued_on),
        "issued_iso": draft.issued_on.isoformat(),
        "tax_point": day(draft.tax_point),
        "tax_point_iso": draft.tax_point.isoformat(),
        "tax_point_why": "The day the amount was set off or paid back.",
        "due_on": "",
        "due_iso": "",
        "vat_invoice": invoice.paper.content.get("vat_invoice", False),
        "registered": registered,
        "rounding": invoice.vat_rounding,
        "treatment": treatment_facts(draft.treatment),
    }


def _lines(draft: CreditDraft) -> dict:
    nothing = dict.fromkeys(("number", "order", "reference", "left_on", "left_iso", "sent_to"), "")
    return {**nothing, "place": {}, "lines": [_line(line, n) for n, line in enumerate(draft.lines, start=1)]}


def _line(line: CreditLine, position: int) -> dict:
    of = line.invoice_line
    discount = of.discount if line.pairs else Decimal(0)
    price = of.price if line.pairs else line.net
    full = line_net(line.pairs or 1, price, Decimal(0))
    return {
        "position": position,
        "invoice_position": of.position,
        **_what(line),
        "price": in_pounds(price),
        "discount": f"{bare(discount)} %" if discount else "",
        "discount_percent": bare(discount) if discount else "",
        "allowance": in_pounds(full - line.net),
        **rate_facts(Rate(of.category, of.percent)),
        "net": in_pounds(line.net),
    }


def _what(line: CreditLine) -> dict:
    order_line = line.invoice_line.order_line
    if order_line is None:
        return {"code": "", "name": line.invoice_line.words, "seconds": False, "pairs": 1, "unit": ONE}
    what = {
        "code": order_line.candle.code,
        "name": order_line.candle.name,
        "seconds": order_line.order.grade == SECONDS,
    }
    if line.pairs:
        return {**what, "pairs": line.pairs, "unit": PAIR}
    return {**what, "name": f"{what['name']}: taken off the price", "pairs": 1, "unit": ONE}


def _allowances(draft: CreditDraft) -> list[dict]:
    words = (
        ("discount", "allowance", DISCOUNT, "Discount on the order, as invoiced"),
        ("deposit", "deposit", "", "Invoiced as deposit, and credited on that invoice"),
    )
    return [
        {
            "kind": kind,
            "reason": reason,
            "code": code,
            "base": "",
            "of_percent": "",
            **rate_facts(part.rate),
            "amount": in_pounds(getattr(part, name)),
        }
        for kind, name, code, reason in words
        for part in draft.total.rates
        if getattr(part, name)
    ]


def _carriage(draft: CreditDraft) -> list[dict]:
    if not draft.total.carriage:
        return []
    return [{"why": f"as charged on {draft.invoice.paper.number}", "amount": in_pounds(draft.total.carriage)}]


def _notes(draft: CreditDraft, registered: bool) -> list[str]:
    if not registered:
        return ["We are not registered for VAT: none was charged, and none is credited."]
    return ["VAT is credited at the rate of the invoice.", ROUNDING[draft.invoice.vat_rounding]]
