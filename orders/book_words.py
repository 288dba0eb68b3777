"""First sentences of the books' pages. No Django: sums in, words out."""

from collections import defaultdict
from collections.abc import Iterable
from decimal import Decimal

from inventory.words import counted, day
from orders.periods import Period, Return

NOUGHT = Decimal("0.00")


def days(period: Period) -> str:
    """ "in November 2026", "from 1 to 15 November 2026" or "from 1 October to 31 December 2026"."""
    first, last = period.first, period.last
    if first.day == 1 and (last - first).days >= 27 and first.month == last.month and period.after.first.day == 1:
        return f"in {first:%B %Y}"
    if (first.month, first.year) == (last.month, last.year):
        return f"on {day(first)}" if first == last else f"from {first.day} to {day(last)}"
    return f"from {day(first)} to {day(last)}"


def day_book_sentence(entries: Iterable, period: Period) -> str:
    """ "12 papers were issued in November 2026: £4,120.00 without VAT, £824.00 VAT." """
    entries = list(entries)
    if not entries:
        return f"Nothing was issued {days(period)}."
    net, vat = (sum((getattr(one, name) for one in entries), NOUGHT) for name in ("net", "vat"))
    verb = "was" if len(entries) == 1 else "were"
    said = f"{counted(len(entries), 'paper')} {verb} issued {days(period)}"
    return f"{said}: £{net:,.2f} without VAT, £{vat:,.2f} VAT."


def vat_sentence(made: Return, period: Period) -> str:
    """ "VAT due on sales in November 2026 is £824.00, on sales of £4,120.00." """
    return f"VAT due on sales {days(period)} is £{made.box_1:,.2f}, on sales of £{made.box_6:,.2f}."


def receipts_sentence(payments: Iterable, period: Period) -> str:
    """ "£1,200.00 came in November 2026, in 3 payments." Amounts of two currencies are never added up."""
    sums: dict[str, Decimal] = defaultdict(lambda: NOUGHT)
    payments = list(payments)
    for one in payments:
        sums[one.currency] += one.signed
    if not payments:
        return f"No money came {days(period)}."
    each = [f"£{total:,.2f}" if currency == "GBP" else f"{total:,.2f} {currency}" for currency, total in sums.items()]
    return f"{' and '.join(each)} came {days(period)}, in {counted(len(payments), 'posting')}."
