"""The content of an invoice, a deposit invoice or a pro forma, frozen when it is issued: everything printed on it, and
everything an e-invoice needs. Nothing else is read to make either.

Fields after VAT Regulations 1995 reg. 14(1) (number, tax point, date, both parties, each line's quantity, unit price,
rate and net, net total, VAT in sterling) and EN 16931 (BT numbers below).

The shape (`shape`: 2; papers of before have none, and are printed by the template of their time). Amounts are text as
printed, "1,566.00" (orders.money.amount_of gives the Decimal back); percentages and rates bare, "20", "17.5"; days in
words, and as ISO in the field that ends in `_iso`; what does not apply is "" or [] or {}.

    kind        "invoice", "deposit invoice", "pro forma" (BT-3: 380, 380, none)        title, number
    currency    BT-5, ISO 4217          symbol  what stands before an amount
    issued_on, tax_point (BT-7; "" on a pro forma), due_on (BT-9), each with _iso       tax_point_why
    vat_invoice, registered             true or false; the seller registered for VAT
    rounding    "half-up" or "down"     treatment  {kind: "domestic", "export" or "no vat"; why}
    workshop    seller: name, address (lines as printed), place {lines, town, postcode, country}, country, telephone,
                email, vat_number (BT-31), company_number (BT-30), bank {name, account_name, sort_code, account_number}
    shop        buyer: name, address, place, country, vat_number (BT-48)
    references  the shop's own (BT-13 where there is one)
    deliveries  [{number, order, reference, left_on, left_iso, sent_to, place, lines}]; number "" where nothing left
      lines     [{position (BT-126), code (BT-155), name (BT-153), seconds, pairs (BT-129), unit (BT-130: PR pairs, C62
                one), price (BT-146), discount "5 %", discount_percent "5", allowance (BT-136, what that takes off
                pairs x price), net (BT-131), category, percent, rate}]
    allowances  [{kind "discount" or "deposit", reason (BT-97), code (BT-98), base, of_percent, category, percent,
                rate, amount (BT-92)}]; one a rate
    carriage    [{why, amount}] by order, in words      charges  by rate: [{reason, code, ..., amount (BT-99)}]
    rates       [{category, percent, rate, goods, allowance, deposit, carriage, taxable (BT-116), vat (BT-117),
                reason_code (BT-121), reason (BT-120)}]; taxable = goods - allowance - deposit + carriage
    totals      goods (BT-106), allowance and deposit (together BT-107), carriage (BT-108), net (BT-109), vat (BT-110),
                gross (BT-112), paid (BT-113), due (BT-115)
    sterling    {rate, vat (BT-111), words}; {} in pounds
    prompt      {percent, days, by, by_iso, net, vat, gross}: what settles it if paid by then; {} for none
    terms       BT-20, the prompt-payment wording in it         notes  further sentences (BT-22)
    preceding   [{number, issued_on, issued_iso}] (BT-25): deposit invoices taken off
"""

from inventory.models import SECONDS
from inventory.words import counted, day
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
    place_of,
    rate_facts,
    rate_sums,
    sterling_facts,
    totals_of,
    treatment_facts,
)
from orders.domain.draft_sums import deposit_in_words
from orders.domain.drafts import DraftLine, InvoiceDraft
from orders.money import in_pounds, line_net, symbol_of


def invoice_content(draft: InvoiceDraft) -> dict:
    """Plain text, numbers, lists and dicts; the paper's number is put in when it is issued."""
    deliveries = _deliveries(draft)
    return {
        "shape": SHAPE,
        "kind": draft.kind,
        "title": draft.title,
        "currency": draft.currency,
        "symbol": symbol_of(draft.currency),
        "issued_on": day(draft.issued_on),
        "issued_iso": draft.issued_on.isoformat(),
        "tax_point": day(draft.tax_point.day) if draft.tax_point else "",
        "tax_point_iso": draft.tax_point.day.isoformat() if draft.tax_point else "",
        "tax_point_why": draft.tax_point.why if draft.tax_point else "",
        "due_on": day(draft.due_on),
        "due_iso": draft.due_on.isoformat(),
        "vat_invoice": draft.vat_invoice,
        "registered": bool(draft.workshop.vat_number),
        "rounding": draft.workshop.vat_rounding,
        "treatment": treatment_facts(draft.treatment),
        "workshop": house_of(draft.workshop),
        "shop": buyer_of(draft.shop, draft.address),
        "references": sorted({part["reference"] for part in deliveries} - {""}),
        "deliveries": deliveries,
        "allowances": _allowances(draft),
        "carriage": [{"why": part.why, "amount": in_pounds(part.amount)} for part in draft.carriage],
        "charges": charges_of(draft.total),
        "rates": rate_sums(draft.total, draft.reasons or {}),
        "totals": totals_of(draft.total),
        "sterling": sterling_facts(draft.sterling, draft.currency, _rate_day(draft)),
        "prompt": _prompt(draft),
        "terms": terms_of(draft),
        "notes": _notes(draft),
        "preceding": _preceding(draft),
    }


def terms_of(draft: InvoiceDraft) -> str:
    """What is to be paid, by which day, and what paying sooner is worth."""
    gross, due = money(draft.total.gross, draft.currency), day(draft.due_on)
    if draft.kind == "pro forma":
        return f"Please pay {gross} before we send. Goods leave when it has arrived."
    if draft.kind == "deposit invoice":
        return f"{gross} has been received: there is nothing to pay on this invoice."
    if draft.total.gross == 0:
        return "Nothing is left to pay: the deposit covers it."
    if draft.shop.pro_forma_first:
        return f"Your terms are payment before we send: {gross} is due now, {due}."
    days = draft.shop.terms_days
    asked = f"Please pay {gross} by {due}, {counted(days, 'day')} from the date of this invoice."
    if not days:
        asked = f"Please pay {gross} on receipt: it is due on {due}."
    return f"{asked} {_prompt_terms(draft)}" if draft.prompt else asked


def _prompt_terms(draft: InvoiceDraft) -> str:
    """The wording HMRC recommends where no credit note follows (Revenue and Customs Brief 49 (2014))."""
    prompt = draft.prompt
    net, vat, gross = (money(amount, draft.currency) for amount in (prompt.net, prompt.vat, prompt.gross))
    terms = (
        f"A discount of {bare(prompt.percent)}% of the full price applies if payment is made within "
        f"{counted(prompt.days, 'day')} of the invoice date. No credit note will be issued."
    )
    if draft.vat_invoice:
        terms += " Following payment you must ensure you have only recovered the VAT actually paid."
    paid = f"{net} and {vat} VAT, {gross} in all" if draft.vat_invoice else gross
    return f"{terms} Paid by {day(prompt.by)} it comes to {paid}."


def _prompt(draft: InvoiceDraft) -> dict:
    prompt = draft.prompt
    if prompt is None:
        return {}
    return {
        "percent": bare(prompt.percent),
        "days": prompt.days,
        "by": day(prompt.by),
        "by_iso": prompt.by.isoformat(),
        **{name: in_pounds(getattr(prompt, name)) for name in ("net", "vat", "gross")},
    }


def _deliveries(draft: InvoiceDraft) -> list[dict]:
    found, position = [], 0
    for delivery in draft.deliveries or (None,):
        order = delivery.order if delivery else draft.order
        lines = [line for line in draft.lines if line.delivery == delivery]
        to = order.deliver_to
        found.append(
            {
                "number": str(delivery) if delivery else "",
                "order": str(order.number),
                "reference": order.reference,
                "left_on": day(delivery.left_on) if delivery else "",
                "left_iso": delivery.left_on.isoformat() if delivery else "",
                "sent_to": ", ".join(to.as_lines) if to else "",
                "place": place_of(to.lines, to) if to else {},
                "lines": [_line(line, position + n) for n, line in enumerate(lines, start=1)],
            }
        )
        position += len(lines)
    return found


def _line(line: DraftLine, position: int) -> dict:
    if line.order_line is None:
        what = {"code": "", "name": line.words, "seconds": False, "pairs": line.count, "unit": ONE}
    else:
        candle, seconds = line.order_line.candle, line.order_line.order.grade == SECONDS
        what = {"code": candle.code, "name": candle.name, "seconds": seconds, "pairs": line.pairs, "unit": PAIR}
    full = line_net(line.pairs, line.price, line.discount * 0) if line.pairs else line.net
    return {
        "position": position,
        **what,
        "price": in_pounds(line.price),
        "discount": f"{bare(line.discount)} %" if line.discount else "",
        "discount_percent": bare(line.discount) if line.discount else "",
        "allowance": in_pounds(full - line.net),
        **rate_facts(line.rate),
        "net": in_pounds(line.net),
    }


def _allowances(draft: InvoiceDraft) -> list[dict]:
    discounts = [
        {
            "kind": "discount",
            "reason": f"{part.order.order_discount_reason}, {bare(part.order.order_discount)} % on order "
            f"{part.order.number}",
            "code": DISCOUNT,
            "base": in_pounds(part.base),
            "of_percent": bare(part.order.order_discount),
            **rate_facts(part.rate),
            "amount": in_pounds(part.amount),
        }
        for part in draft.allowances
    ]
    deposits = [
        {
            "kind": "deposit",
            "reason": deposit_in_words(part.deposit),
            "code": "",
            "base": "",
            "of_percent": "",
            **rate_facts(part.at),
            "amount": in_pounds(part.net),
        }
        for part in draft.deducted
    ]
    return discounts + deposits


def _preceding(draft: InvoiceDraft) -> list[dict]:
    papers = {part.deposit.paper.number: part.deposit.paper for part in draft.deducted}
    return [
        {"number": number, "issued_on": day(paper.issued_on), "issued_iso": paper.issued_on.isoformat()}
        for number, paper in papers.items()
    ]


def _rate_day(draft: InvoiceDraft) -> str:
    return day(draft.sterling.since) if draft.sterling.since else ""


def _notes(draft: InvoiceDraft) -> list[str]:
    notes = []
    if draft.kind == "pro forma":
        notes.append("This is not a VAT invoice: it cannot be used to recover VAT. A VAT invoice follows.")
    seconds = any(line.order_line and line.order_line.order.grade == SECONDS for line in draft.lines)
    as_such = ["Seconds are sold as such, with the faults of their kind."] if seconds else []
    if not draft.workshop.vat_number:
        notes = ["This is not an invoice: one follows."] if notes else []
        return [*notes, "We are not registered for VAT: no VAT is charged, and this is not a VAT invoice.", *as_such]
    notes.append(ROUNDING[draft.workshop.vat_rounding])
    categories = {part.rate.category for part in draft.total.rates}
    if "Z" in categories:
        notes.append("No VAT is charged on what is marked zero rated.")
    notes += [f"No VAT is charged: {reason}." for _, reason in _stated(draft)]
    return notes + as_such


def _stated(draft: InvoiceDraft) -> list[tuple[str, str]]:
    return [why for part in draft.total.rates if (why := (draft.reasons or {}).get(part.rate))]
