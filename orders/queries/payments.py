"""What one payment settles, and what is proposed for one that is entered by hand."""

from orders.matching import Match, Money, match_of_shop
from orders.models import Payment, Shop
from orders.money import NOUGHT
from orders.queries.bank import owed_of
from orders.queries.debts import OpenPaper


def settled_by(payment: Payment) -> list[dict]:
    """Paper, key and amount of each paper a payment stands against; of a refund, the payments it came out of."""
    held: dict[str, dict] = {}
    rows = payment.parts.select_related("invoice__paper", "late_charge__paper", "refund").defer(
        "invoice__paper__content", "late_charge__paper__content"
    )
    for part in rows:
        aim = part.invoice or part.late_charge or part.refund
        letter = "i" if part.invoice_id else "l" if part.late_charge_id else "r"
        row = held.setdefault(f"{letter}{aim.pk}", {"paper": aim, "key": f"{letter}{aim.pk}", "amount": NOUGHT})
        row["amount"] += part.amount
    return [row for row in held.values() if row["amount"]]


def proposal_for(shop: Shop, papers: list[OpenPaper], money: Money, *, currency: str) -> Match:
    """What a payment of this shop is for: what its text names, else what adds up, else the oldest first."""
    return match_of_shop(money, [owed_of(one) for one in papers if one.currency == currency], shop.pk)
