"""Invoice totals against the official examples of EN 16931.

Source: github.com/ConnectingEurope/eInvoicing-EN16931, folder ubl/examples, release 1.3.16: the published line net
amounts, document allowances and charges, VAT by rate and totals, retyped below. The same examples as data, with
quantities and prices, are read where WICKTURN_UBL_EXAMPLES or the folder beside this one holds them.

Seven of the files carry lines whose quantity x price is not their net amount; line arithmetic is checked on those
known to be sound, totals on all.
"""

import json
import os
from dataclasses import dataclass, field
from decimal import Decimal as Dec
from pathlib import Path

import pytest

from orders.money import Rate, line_net, total_invoice

BESIDE = Path(__file__).resolve().parents[3] / "shared" / "data" / "ubl_examples.json"
EXAMPLES = Path(os.environ.get("WICKTURN_UBL_EXAMPLES", BESIDE))
SOUND_LINES = {
    "ubl-tc434-example4.xml",
    "ubl-tc434-example5.xml",
    "ubl-tc434-example6.xml",
    "ubl-tc434-example8.xml",
    "ubl-tc434-example9.xml",
    "issue116.xml",
    "sample-discount-price.xml",
}


@dataclass(frozen=True)
class Example:
    """Lines, and beside them document allowances (below nought) and charges: (net, category, percent)."""

    name: str
    lines: list[tuple[str, str, str]]
    vat_rows: list[tuple[str, str, str, str]]
    without_vat: str
    vat: str
    with_vat: str
    beside: list[tuple[str, str, str]] = field(default_factory=list)


def of_rate(category, percent, *nets):
    return [(net, category, percent) for net in nets]


AT_6 = "19.90 9.85 8.29 14.46 35.00 35.00 10.65 1.55 14.37 8.29 16.58 9.95 3.30 3.90 102.12 -109.98"
AT_21 = "10.80 7.60 9.34 18.63"
ENERGY = "140.80 16.16 167.64 88.74 36.75 56.50 83.34 190.31 64.21 64.46"
RETYPED = [
    Example(
        "BIS3_Invoice_negativ.XML",
        of_rate("S", "25", "-625743.54"),
        [("S", "25", "-625743.54", "-156435.89")],
        "-625743.54", "-156435.89", "-782179.43",
    ),
    Example(
        "BIS3_Invoice_positive.XML",
        of_rate("S", "25", "625743.54"),
        [("S", "25", "625743.54", "156435.89")],
        "625743.54", "156435.89", "782179.43",
    ),
    Example(
        "FT G2G_TD01 con Allegato, Bonifico e Split Payment.xml",
        of_rate("B", "22", "1246.00"),
        [("B", "22", "1246.00", "274.12")],
        "1246.00", "274.12", "1520.12",
    ),
    Example(
        "guide-example2.xml",
        [
            *of_rate("S", "25", "1273.00", "187.50"),
            *of_rate("S", "15", "-3.96", "4.96"),
            *of_rate("E", "0", "-25.00"),
        ],
        [("S", "25", "1460.50", "365.13"), ("S", "15", "1.00", "0.15"), ("E", "0", "-25.00", "0.00")],
        "1436.50", "365.28", "1801.78",
        beside=of_rate("S", "25", "-100.00", "100.00"),
    ),
    Example(
        "guide-example3.xml",
        of_rate("S", "25", "400.00", "400.00"),
        [("S", "25", "900.00", "225.00")],
        "900.00", "225.00", "1125.00",
        beside=of_rate("S", "25", "100.00"),
    ),
    Example(
        "issue116.xml",
        [*of_rate("S", "6", "100"), *of_rate("S", "12", "50", "150"), *of_rate("S", "25", "400")],
        [("S", "6", "100", "6"), ("S", "25", "400", "100"), ("S", "12", "200", "24"), ("E", "0", "0", "0")],
        "700", "130", "830",
        beside=[*of_rate("S", "6", "-0"), *of_rate("E", "0", "-1", "1", "0")],
    ),
    Example(
        "sample-discount-price.xml",
        of_rate("S", "25", "12.12"),
        [("S", "25", "12.12", "3.03")],
        "12.12", "3.03", "15.15",
    ),
    Example(
        "ubl-tc434-creditnote1.xml",
        of_rate("E", "0.00", "100.11"),
        [("E", "0.00", "100.11", "0.00")],
        "100.11", "0.00", "100.11",
    ),
    Example(
        "ubl-tc434-example1.xml",
        [*of_rate("S", "6", *AT_6.split()), *of_rate("S", "21", *AT_21.split())],
        [("S", "6", "183.23", "10.99"), ("S", "21", "46.37", "9.74")],
        "229.60", "20.73", "250.33",
    ),
    Example(
        "ubl-tc434-example3.xml",
        [*of_rate("S", "25", "800.00"), *of_rate("S", "10", "800.00")],
        [("S", "25", "900.00", "225.00"), ("S", "10", "800.00", "80.00")],
        "1700.00", "305.00", "2005.00",
        beside=of_rate("S", "25", "100.00"),
    ),
    Example(
        "ubl-tc434-example5.xml",
        [*of_rate("S", "25", "1000.00", "500.00"), *of_rate("S", "12", "2500.00")],
        [("S", "25", "1500.00", "375.00"), ("S", "12", "2500.00", "300.00")],
        "4000.00", "675.00", "4675.00",
        beside=of_rate("S", "25", "-150.00", "150.00"),
    ),
    Example(
        "ubl-tc434-example7.xml",
        of_rate("O", "0", "2500.00", "700.00"),
        [("O", "0", "3200.00", "0.00")],
        "3200.00", "0.00", "3200.00",
    ),
    Example(
        "ubl-tc434-example8.xml",
        of_rate("S", "21", *ENERGY.split()),
        [("S", "21", "908.91", "190.87")],
        "908.91", "190.87", "1099.78",
    ),
    Example(
        "ubl-tc434-example9.xml",
        of_rate("S", "21", "147.00"),
        [("S", "21", "147.00", "30.87")],
        "147.00", "30.87", "177.87",
    ),
]  # fmt: skip


def from_file(document) -> Example:
    totals = document["totals"]
    return Example(
        document["file"],
        [(line["net"], line["cat"], line["pct"] or "0") for line in document["lines"]],
        [(category, percent or "0", taxable, vat) for _, category, percent, taxable, vat in document["subtotals"]],
        totals["TaxExclusiveAmount"],
        document["tax_totals"][0][1],
        totals["TaxInclusiveAmount"],
        beside=[(amount, category, percent or "0") for amount, _, _, category, percent, _ in document["doc_ac"]],
    )


DOCUMENTS = json.loads(EXAMPLES.read_text("utf-8")) if EXAMPLES.exists() else []
needs_file = pytest.mark.skipif(not DOCUMENTS, reason=f"the examples are not at {EXAMPLES.name}: retyped ones only")


def in_figures(rows):
    return sorted((Dec(net), category, Dec(percent)) for net, category, percent in rows)


def check(example: Example):
    """Totals from the line nets on (BR-CO-10 to BR-CO-17), and the VAT of every rate to the penny."""
    rows = [(Dec(net), Rate(category, Dec(percent))) for net, category, percent in [*example.lines, *example.beside]]
    total = total_invoice(rows, Dec("0.00"), "half-up")
    found = {(part.rate.category, part.rate.percent): (part.taxable, part.vat) for part in total.rates}
    assert found == {
        (category, Dec(percent)): (Dec(taxable), Dec(vat)) for category, percent, taxable, vat in example.vat_rows
    }
    assert total.net == Dec(example.without_vat)
    assert total.vat == Dec(example.vat)
    assert total.gross == Dec(example.with_vat)


@pytest.mark.parametrize("example", RETYPED, ids=lambda example: example.name)
def test_totals_retyped(example):
    check(example)


@needs_file
@pytest.mark.parametrize("document", DOCUMENTS, ids=lambda document: document["file"])
def test_totals_of_the_file(document):
    check(from_file(document))


@needs_file
def test_what_was_retyped_is_what_the_file_says():
    by_name = {document["file"]: from_file(document) for document in DOCUMENTS}
    for example in RETYPED:
        of_file = by_name[example.name]
        assert in_figures(example.lines) == in_figures(of_file.lines)
        assert in_figures(example.beside) == in_figures(of_file.beside)
        assert (example.without_vat, example.vat, example.with_vat) == (
            of_file.without_vat,
            of_file.vat,
            of_file.with_vat,
        )


def test_carriage_is_a_charge_at_the_goods_rate():
    """guide-example3: 800.00 of goods and 100.00 freight at 25 % are 900.00, VAT 225.00, 1125.00."""
    rate = Rate("S", Dec("25"))
    total = total_invoice([(Dec("400.00"), rate), (Dec("400.00"), rate)], Dec("100.00"), "half-up")
    assert (total.goods, total.net, total.vat, total.gross) == (
        Dec("800.00"),
        Dec("900.00"),
        Dec("225.00"),
        Dec("1125.00"),
    )


LINES_RETYPED = [
    # example, quantity, price, base quantity, net
    ("ubl-tc434-example4.xml", 1000, "1.00", 1, "1000.00"),
    ("ubl-tc434-example4.xml", 100, "5.00", 1, "500.00"),
    ("ubl-tc434-example4.xml", 500, "5.00", 1, "2500.00"),
    ("ubl-tc434-example8.xml", 16000, "0.00880", 1, "140.80"),
    ("ubl-tc434-example8.xml", 16000, "0.00101", 1, "16.16"),
    ("ubl-tc434-example8.xml", 132, "15.24", 12, "167.64"),
    ("ubl-tc434-example8.xml", 1, "441.00", 12, "36.75"),
    ("ubl-tc434-example8.xml", 1, "678.00", 12, "56.50"),
    ("ubl-tc434-example9.xml", 3, "49.00", 1, "147.00"),
    ("sample-discount-price.xml", 100, "0.1212", 1, "12.12"),
]


@pytest.mark.parametrize(("name", "quantity", "price", "base", "net"), LINES_RETYPED)
def test_lines_retyped(name, quantity, price, base, net):
    assert name in SOUND_LINES
    assert line_net(quantity, Dec(price) / base, Dec(0)) == Dec(net)


@needs_file
def test_lines_of_the_sound_files():
    checked = 0
    for document in DOCUMENTS:
        for line in document["lines"] if document["file"] in SOUND_LINES else ():
            beside = sum(Dec(amount) for amount, *_ in line["line_ac"])
            price = Dec(line["price"]) / Dec(line["base_qty"] or "1")
            assert line_net(int(Dec(line["qty"])), price, Dec(0)) + beside == Dec(line["net"])
            checked += 1
    assert checked == 25


def test_a_line_discount_is_an_allowance_on_the_line():
    """ubl-tc434-example5, line 1: 10 % of 1000.00 is an allowance of 100.00; here it is the shop's discount."""
    assert line_net(1000, Dec("1.00"), Dec("10")) == Dec("1000.00") - Dec("100.00")
