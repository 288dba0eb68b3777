"""What invoice, deposit invoice, pro forma and credit note print alike. Amounts are text, as printed (in_pounds)."""

from orders.domain.drafts import Sterling
from orders.money import Rate, Total, in_pounds, symbol_of
from orders.vat_treatment import Treatment

SHAPE = 2
PAIR, ONE = "PR", "C62"  # UN/ECE Rec 20
DISCOUNT, FREIGHT = "95", "FC"  # UNCL5189, UNCL7161
ROUNDING = {
    "half-up": "VAT is reckoned on each rate's total and rounded to the nearest penny, half a penny up.",
    "down": "VAT is reckoned on each rate's total and rounded down to the whole penny.",
}
IN_WORDS = {"Z": "zero rated", "E": "exempt", "G": "export", "O": "no VAT"}
SUMS = ("goods", "allowance", "deposit", "carriage", "net", "vat", "gross")


def house_of(workshop) -> dict:
    """The seller: who, where, and where to pay."""
    return {
        "name": workshop.name,
        "address": _lines([*workshop.address.splitlines(), workshop.town, workshop.postcode]),
        "place": place_of(workshop.address, workshop),
        "country": workshop.country,
        "telephone": workshop.telephone,
        "email": workshop.email,
        "vat_number": workshop.vat_number,
        "company_number": workshop.company_number,
        "bank": {
            "name": workshop.bank_name,
            "account_name": workshop.account_name,
            "sort_code": workshop.sort_code,
            "account_number": workshop.account_number,
        },
    }


def buyer_of(shop, address) -> dict:
    return {
        "name": shop.name,
        "address": address.as_lines,
        "place": place_of(address.lines, address),
        "country": address.country,
        "vat_number": shop.vat_number,
    }


def place_of(street: str, row) -> dict:
    """An address in the parts an e-invoice wants; `row` has town, postcode and country."""
    return {"lines": _lines(street.splitlines()), "town": row.town, "postcode": row.postcode, "country": row.country}


def rate_facts(rate: Rate) -> dict:
    """Category (UNCL5305), bare percent, and how it reads."""
    return {"category": rate.category, "percent": bare(rate.percent), "rate": rate_in_words(rate)}


def rate_in_words(rate: Rate) -> str:
    """20 %, "zero rated", "exempt", "export" or "no VAT": a rate of nought says why it is nought."""
    return IN_WORDS.get(rate.category, str(rate))


def rate_sums(total: Total, reasons: dict[Rate, tuple[str, str]]) -> list[dict]:
    """The VAT breakdown: what is taxed at each rate, how that came about, and why a rate is nought where the
    standard wants that said.
    """
    return [
        {
            **rate_facts(part.rate),
            **{name: in_pounds(getattr(part, name)) for name in ("goods", "allowance", "deposit", "carriage")},
            "taxable": in_pounds(part.taxable),
            "vat": in_pounds(part.vat),
            "reason_code": reasons.get(part.rate, ("", ""))[0],
            "reason": reasons.get(part.rate, ("", ""))[1],
        }
        for part in total.rates
    ]


def totals_of(total: Total) -> dict:
    gross = in_pounds(total.gross)
    return {**{name: in_pounds(getattr(total, name)) for name in SUMS}, "paid": "0.00", "due": gross}


def charges_of(total: Total) -> list[dict]:
    """Carriage as charges, one a rate that bears some."""
    return [
        {"reason": "Carriage", "code": FREIGHT, **rate_facts(part.rate), "amount": in_pounds(part.carriage)}
        for part in total.rates
        if part.carriage
    ]


def treatment_facts(treatment: Treatment) -> dict:
    return {"kind": treatment.kind, "why": treatment.why}


def sterling_facts(sterling: Sterling, currency: str, day: str) -> dict:
    """VAT in pounds on a paper in another currency (VAT Regulations 1995 reg. 14(1)(l)); empty on one in pounds."""
    if currency == "GBP":
        return {}
    rate = bare(sterling.rate)
    return {
        "rate": rate,
        "vat": in_pounds(sterling.vat),
        "words": f"VAT in sterling: £{in_pounds(sterling.vat)}, at {rate} GBP for 1 {currency}, the rate of {day}.",
    }


def money(amount, currency: str) -> str:
    """With its sign, as in a sentence: £1,566.00."""
    return f"{symbol_of(currency)}{in_pounds(amount)}"


def bare(figure) -> str:
    """20, 17.5: without noughts that say nothing."""
    return f"{figure.normalize():f}"


def _lines(lines) -> list[str]:
    return [line.strip() for line in lines if line.strip()]
