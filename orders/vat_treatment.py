"""Where goods go decides what VAT they bear: at home, as an export, or none because the workshop is not registered.

No Django. Sources: VAT Notice 703 (goods exported from the UK since 1 January 2021; from Northern Ireland only those
to places outside the EU); Northern Ireland and the Isle of Man domestic, the Channel Islands export: from memory.
Codes of EN 16931: UNCL5305 for the category, VATEX for the reason.
"""

from dataclasses import dataclass
from decimal import Decimal

from orders.money import Rate

DOMESTIC, EXPORT, NO_VAT = "domestic", "export", "no vat"
# ISO 3166 codes; XI is how customs call Northern Ireland.
AT_HOME = {"GB": "Great Britain", "XI": "Northern Ireland", "IM": "the Isle of Man"}
ISLANDS = {"JE": "Jersey", "GG": "Guernsey"}
EU = frozenset((
    "AT", "BE", "BG", "HR", "CY", "CZ", "DK", "EE", "FI", "FR", "DE", "GR", "HU", "IE", "IT", "LV", "LT", "LU", "MT",
    "NL", "PL", "PT", "RO", "SK", "SI", "ES", "SE",
))  # fmt: skip
# Islands keep British postcodes, and are often written down as GB.
POSTCODES = {"JE": "JE", "GY": "GG", "IM": "IM", "BT": "XI"}
NOUGHT = Decimal("0.00")


@dataclass(frozen=True)
class Treatment:
    """`rate` None: the candle's own rate. code and reason: why there is no VAT, as an e-invoice says it."""

    kind: str
    why: str
    rate: Rate | None = None
    code: str = ""
    reason: str = ""


def treatment_of(seller_vat: str, country: str, postcode: str = "") -> Treatment:
    """How goods sent to a country (ISO 3166) and postcode are taxed by a seller with that VAT number ("" for none).

    ValueError for goods from a Northern Ireland number (XI) to the EU: an intra-community supply, which this book
    does not make.
    """
    if not seller_vat:
        return Treatment(
            NO_VAT,
            "The workshop is not registered for VAT, so none is charged.",
            Rate("O", NOUGHT),
            "VATEX-EU-O",
            "Not subject to VAT: the seller is not registered",
        )
    place = place_of(country, postcode)
    if place in AT_HOME:
        return Treatment(DOMESTIC, f"To {AT_HOME[place]}: a supply within the United Kingdom, at its own rate.")
    if place in EU and seller_vat.startswith("XI"):
        raise ValueError(
            "From Northern Ireland to the EU is an intra-community supply, which this book does not invoice: "
            "ask whoever does the VAT return."
        )
    where = ISLANDS.get(place) or (f"{place}, in the EU" if place in EU else place)
    return Treatment(
        EXPORT,
        f"To {where}: an export, no VAT while the evidence is held or not yet due.",
        Rate("G", NOUGHT),
        "VATEX-EU-G",
        "Export outside the United Kingdom",
    )


def place_of(country: str, postcode: str) -> str:
    """The country's code, told apart by postcode where it says GB and means an island or Northern Ireland."""
    country = country.strip().upper()
    if country not in ("", "GB", "UK"):
        return country
    return POSTCODES.get(postcode.strip().upper()[:2], "GB")


def evidence_due(tax_point, months: int = 3):
    """The last day for goods to be gone and evidence held: three months after the time of supply (from memory).

    A day the later month does not have becomes its last one.
    """
    month = tax_point.month - 1 + months
    year, month = tax_point.year + month // 12, month % 12 + 1
    for day in range(tax_point.day, 27, -1):
        try:
            return tax_point.replace(year=year, month=month, day=day)
        except ValueError:
            continue
    return tax_point.replace(year=year, month=month)
