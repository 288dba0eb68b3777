"""The sums of an invoice or a credit note re-added: lines to goods, goods to net, rates to VAT, all to the paper."""

from collections.abc import Iterator
from decimal import Decimal, InvalidOperation

from orders.money import MOST, NOUGHT, amount_of, in_sterling, vat_of

PENNY = Decimal("0.01")
# What the content of a paper calls a sum, and the column that holds it; papers of before have fewer.
PRINTED = {
    "goods": "goods",
    "allowance": "allowance",
    "deposit": "deposits",
    "carriage": "carriage",
    "net": "net",
    "vat": "vat",
    "gross": "gross",
}


def sums(row) -> Iterator[str]:
    goods = _add(line.net for line in row.lines.all())
    if goods != row.goods:
        yield f"goods say {row.goods}, the lines add up to {goods}"
    net = row.goods - row.allowance - row.deposits + row.carriage
    if net != row.net:
        yield f"net says {row.net}, goods less what comes off and carriage add up to {net}"
    if row.net + row.vat != row.gross:
        yield f"total says {row.gross}, net and VAT add up to {row.net + row.vat}"
    if not NOUGHT <= row.gross <= MOST:
        yield f"total {row.gross} is out of bounds"
    if row.currency == "GBP" and (row.sterling != 1 or row.vat_sterling != row.vat):
        yield f"VAT in sterling says {row.vat_sterling}, and the invoice is in sterling with VAT of {row.vat}"


def sterling(row) -> Iterator[str]:
    """The VAT in pounds is the VAT at the rate kept on the row."""
    if abs(row.vat_sterling - in_sterling(row.vat, row.sterling)) > PENNY * (row.currency != "GBP"):
        yield f"VAT in sterling says {row.vat_sterling}, {row.vat} at {row.sterling} is another figure"


def rates(row, lines, slack: Decimal | None) -> Iterator[str]:
    """Each rate re-adds from `lines` ((category, percent), net) and re-reckons to within `slack` (None: unchecked)."""
    rows, by_rate = row.vat_rows.all(), {}
    for key, net in lines:
        by_rate[key] = by_rate.get(key, NOUGHT) + net
    for part in rows:
        goods = by_rate.pop((part.category, part.percent), NOUGHT)
        taxable = goods - part.allowance - part.deposit + part.carriage
        if taxable != part.taxable:
            yield f"taxable at {part.percent} % says {part.taxable}, lines, what comes off and carriage are {taxable}"
        vat = vat_of(part.taxable, part.percent, row.vat_rounding)
        if slack is not None and abs(vat - part.vat) > slack:
            yield f"VAT at {part.percent} % says {part.vat}, {part.taxable} at that rate is {vat}"
    if any(by_rate.values()):
        yield "lines at a rate that has no VAT row"
    for name, column in (
        ("vat", "vat"),
        ("carriage", "carriage"),
        ("allowance", "allowance"),
        ("deposit", "deposits"),
    ):
        added = _add(getattr(part, name) for part in rows)
        if added != getattr(row, column):
            shown = "VAT" if name == "vat" else name
            yield f"{shown} says {getattr(row, column)}, its rates add up to {added}"


def against_paper(row) -> Iterator[str]:
    """What is printed is what stands in the ledger."""
    totals = row.paper.content.get("totals", {})
    for name, column in PRINTED.items():
        printed, kept = totals.get(name), getattr(row, column)
        if printed is None and not kept and name in ("allowance", "deposit"):
            continue
        try:
            same = amount_of(printed or "") == kept
        except InvalidOperation:
            same = False
        if not same:
            yield f"{name} is {kept} in the ledger and {printed} on the paper"


def _add(amounts) -> Decimal:
    return sum(amounts, NOUGHT)
