"""Contents of invoices and credit notes as they are frozen, made from sums alone: no database."""

from decimal import Decimal

from hypothesis import strategies as st

from orders.documents.ledger_parts import (
    DISCOUNT,
    ONE,
    PAIR,
    SHAPE,
    charges_of,
    rate_facts,
    rate_sums,
    sterling_facts,
    totals_of,
)
from orders.domain.drafts import Sterling
from orders.money import Rate, in_pounds, in_sterling, line_net, percent_of, share_over_rates, symbol_of, total_invoice

NOUGHT = Decimal("0.00")
HOME = [Rate("S", Decimal(20)), Rate("S", Decimal(5)), Rate("Z", NOUGHT), Rate("E", NOUGHT)]
EXPORT, NO_VAT = Rate("G", NOUGHT), Rate("O", NOUGHT)
REASONS = {
    Rate("E", NOUGHT): ("", "Exempt from VAT"),
    EXPORT: ("VATEX-EU-G", "Export outside the United Kingdom"),
    NO_VAT: ("VATEX-EU-O", "Not subject to VAT: the seller is not registered"),
}
PLACE = {"lines": ["3 Rope Walk", "Upper Yard"], "town": "Saltmere", "postcode": "ZZ1 1ZZ", "country": "GB"}


def made_content(
    lines, *, kind="invoice", discount=NOUGHT, carriage=NOUGHT, rounding="half-up", currency="GBP", **facts
):
    """The content of a paper over lines (pairs, price, discount %, rate); `discount`: % on the whole order."""
    rows = [(*line, line_net(line[0], line[1], line[2])) for line in lines]
    goods = {}
    for *_, rate, net in rows:
        goods[rate] = goods.get(rate, NOUGHT) + net
    off = share_over_rates(percent_of(sum(goods.values()), discount), goods) if discount else {}
    total = total_invoice([(net, rate) for *_, rate, net in rows], carriage, rounding, off)
    return {
        **head_of(kind, currency),
        "registered": NO_VAT not in goods,
        "rounding": rounding,
        "workshop": seller("" if NO_VAT in goods else "GB999999973"),
        "shop": {
            "name": "Lamp & Ledger",
            "place": {**PLACE, "country": "FR" if EXPORT in goods else "GB"},
            "vat_number": "",
        },
        "deliveries": [{"sent_to": "Saltmere", "place": PLACE, "lines": list(map(line_of, range(1, 500), rows))}],
        "allowances": [allowance(rate, goods[rate], part, discount) for rate, part in off.items() if part],
        "charges": charges_of(total),
        "rates": rate_sums(total, REASONS),
        "totals": totals_of(total),
        "sterling": in_sterling_too(total, currency),
        **facts,
    }


def head_of(kind: str, currency: str) -> dict:
    """What stands on the paper besides its sums."""
    credit = kind == "credit note"
    return {
        "shape": SHAPE,
        "kind": kind,
        "title": "Credit note" if credit else "VAT invoice",
        "number": "INV-1042",
        "currency": currency,
        "symbol": symbol_of(currency),
        "issued_iso": "2026-11-25",
        "issued_on": "25 November 2026",
        "tax_point_iso": "2026-11-20",
        "due_iso": "" if credit else "2026-12-25",
        "references": ["PO 7"],
        "carriage": [],
        "terms": "Please pay by 25 December 2026.",
        "notes": ["VAT is reckoned on each rate's total."],
        "preceding": [{"number": "INV-1001", "issued_iso": "2026-11-01"}] if credit else [],
    }


def in_sterling_too(total, currency: str) -> dict:
    rate = Decimal("0.8571")
    return sterling_facts(Sterling(rate, None, in_sterling(total.vat, rate)), currency, "1 November 2026")


def seller(vat_number: str) -> dict:
    bank = {"name": "Bank", "account_name": "Workshop", "sort_code": "00-00-00", "account_number": "12345678"}
    return {
        "name": "The Workshop",
        "place": PLACE,
        "telephone": "01632 960001",
        "email": "book@workshop.example",
        "vat_number": vat_number,
        "company_number": "00000042",
        "bank": bank,
    }


def line_of(position: int, row) -> dict:
    pairs, price, discount, rate, net = row
    return {
        "position": position,
        "code": f"T{position}",
        "name": "Taper, ivory",
        "seconds": position % 2 == 0,
        "pairs": pairs,
        "unit": PAIR if position % 5 else ONE,
        "price": in_pounds(price),
        "discount_percent": f"{discount.normalize():f}" if discount else "",
        "allowance": in_pounds(line_net(pairs, price, NOUGHT) - net),
        **rate_facts(rate),
        "net": in_pounds(net),
    }


def allowance(rate, base, amount, percent) -> dict:
    return {
        "kind": "discount",
        "reason": "Autumn order",
        "code": DISCOUNT,
        # The whole discount is shared over the rates to the penny, so a part is not always the percentage of its base.
        "base": in_pounds(base) if percent_of(base, percent) == amount else "",
        "of_percent": f"{percent.normalize():f}" if percent_of(base, percent) == amount else "",
        **rate_facts(rate),
        "amount": in_pounds(amount),
    }


def pence(most: str):
    return st.decimals(min_value=Decimal("0.01"), max_value=Decimal(most), places=2)


@st.composite
def contents(draw):
    """Papers of all kinds: mixed rates at home, exports, unregistered; discounts, carriage, both roundings, euros."""
    rates = draw(st.sampled_from([HOME, HOME, [EXPORT], [NO_VAT]]))
    off = st.sampled_from([Decimal(0), Decimal(0), Decimal("2.5"), Decimal(5), Decimal("33.33"), Decimal(90)])
    lines = draw(
        st.lists(st.tuples(st.integers(1, 500), pence("250"), off, st.sampled_from(rates)), min_size=1, max_size=9)
    )
    return made_content(
        lines,
        kind=draw(st.sampled_from(["invoice", "invoice", "deposit invoice", "credit note"])),
        discount=draw(st.sampled_from([NOUGHT, Decimal(5), Decimal("7.5"), Decimal(12)])),
        carriage=draw(st.one_of(st.just(NOUGHT), pence("60"))),
        rounding=draw(st.sampled_from(["half-up", "down"])),
        currency=draw(st.sampled_from(["GBP", "GBP", "EUR"])),
    )
