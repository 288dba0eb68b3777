"""The content of a late charge: how interest and fixed sum came about, so that it can be reckoned again by hand."""

from datetime import date
from decimal import Decimal

from inventory.words import counted, day
from orders.documents.ledger_parts import bare
from orders.late_payment import BY_DAY, YEAR, Stretch, day_rate, interest_on
from orders.money import in_pounds

ROUNDING = {
    "exact": "Interest is reckoned for all days together and rounded to the penny once.",
    "day": "The interest of one day is rounded to the penny, then multiplied by the days.",
}


def late_charge_content(offer, *, policy: str, fixed: Decimal, parties: dict, issued_on: date, due_on: date) -> dict:
    """`offer` is orders.domain.late.Offer. Text only; amounts as printed. No VAT: it is no price for goods."""
    invoice, interest = offer.invoice, offer.interest(policy)
    return {
        "title": "Charge for late payment",
        "issued_on": day(issued_on),
        "issued_iso": issued_on.isoformat(),
        "due_on": day(due_on),
        **parties,
        "invoice": {"number": invoice.paper.number, "issued_on": day(invoice.paper.issued_on),
                    "due_on": day(invoice.due_on), "gross": in_pounds(invoice.gross)},
        "rate": f"{bare(offer.rate.percent)} % a year: the Bank of England's base rate of "
        f"{day(offer.rate.reference)}, {bare(offer.rate.base)} %, and 8 %",
        "stretches": [
            {
                "days": counted(one.days, "day"),
                "since": day(one.since),
                "until": day(one.until),
                "debt": in_pounds(one.debt),
                "day_rate": in_pounds(day_rate(one.debt, offer.rate.percent)) if policy == BY_DAY else "",
                "interest": _interest(one, offer.rate.percent, policy),
            }
            for one in offer.stretches
        ],
        "rounding": ROUNDING[policy],
        "interest": in_pounds(interest),
        "fixed": in_pounds(fixed),
        "amount": in_pounds(interest + fixed),
        "terms": f"Please pay £{in_pounds(interest + fixed)} by {day(due_on)}.",
        "notes": [
            "Charged under the Late Payment of Commercial Debts (Interest) Act 1998. There is no VAT on it.",
        ],
    }  # fmt: skip


def _interest(one: Stretch, percent: Decimal, policy: str) -> str:
    """Of one stretch. Rounded once at the end, the stretches have to show more figures, or they would not add up."""
    if policy == BY_DAY:
        return in_pounds(interest_on([one], percent, policy))
    return f"{one.debt * percent * one.days / 100 / YEAR:,.4f}"
