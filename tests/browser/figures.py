"""Reading figures back: off a page's tables, its CSV and a PDF; and a paper of the ledger added up again by hand."""

import csv
import io
from decimal import ROUND_HALF_UP, Decimal

from openpyxl import load_workbook
from pypdf import PdfReader

PENNY = Decimal("0.01")
SUMS = ("goods", "allowance", "carriage", "net", "vat", "gross")


def check_paper(paper, sums, nets) -> None:
    """A paper's sums are those worked out above, and add up again from its own lines and rates."""
    content, totals = paper.content, paper.content["totals"]
    lines = [line for part in content["deliveries"] for line in part["lines"]]
    assert {name: totals[name] for name in SUMS} == sums
    assert [line["net"] for line in lines] == nets
    for line in lines:
        exact = line["pairs"] * Decimal(line["price"]) * (100 - Decimal(line["discount_percent"])) / 100
        assert exact.quantize(PENNY, ROUND_HALF_UP) == amount(line["net"])
    for rate in content["rates"]:
        taxable = amount(rate["goods"]) - amount(rate["allowance"]) + amount(rate["carriage"])
        assert taxable == amount(rate["taxable"])
        assert (taxable * Decimal(rate["percent"]) / 100).quantize(PENNY, ROUND_HALF_UP) == amount(rate["vat"])
    for name, parts in (("goods", lines), ("allowance", content["allowances"]), ("carriage", content["charges"])):
        assert sum(amount(part["net" if name == "goods" else "amount"]) for part in parts) == amount(totals[name])
    assert amount(totals["goods"]) - amount(totals["allowance"]) + amount(totals["carriage"]) == amount(totals["net"])
    assert sum(amount(rate["vat"]) for rate in content["rates"]) == amount(totals["vat"])
    assert amount(totals["net"]) + amount(totals["vat"]) == amount(totals["gross"])


def check_facts(page, sums) -> None:
    facts = page.locator("dl.facts").first.inner_text()
    for name in SUMS:
        if sums[name] != "0.00":
            assert sums[name] in facts, name


def check_workbook(page, vat_rows, papers) -> None:
    """The workbook of the period ties to its papers: two invoices and a credit note, and one payment of 100.00."""
    address = page.get_by_role("link", name="All three as a workbook").get_attribute("href")
    book = load_workbook(io.BytesIO(page.request.get(address_of(page, address)).body()))
    days, rates, money = ([list(row) for row in sheet.values] for sheet in book)
    gross = days[0].index("In all, GBP")
    assert [money_of(row[gross]) for row in days[1:]] == [
        sign * amount(paper.paper.content["totals"]["gross"]) for sign, paper in zip((1, 1, -1), papers, strict=True)
    ]
    # By rate: what the papers froze, added up; credit notes below nought.
    sums: dict[tuple, Decimal] = {}
    for sign, paper in zip((1, 1, -1), papers, strict=True):
        for rate in paper.paper.content["rates"]:
            for name in ("taxable", "vat"):
                key = sign, rate["rate"], name
                sums[key] = sums.get(key, 0) + sign * amount(rate[name])
    found = {}
    for row in rates[1:]:
        sign = -1 if row[0].startswith("credit") else 1
        found |= {(sign, row[1], "taxable"): money_of(row[3]), (sign, row[1], "vat"): money_of(row[4])}
    assert found == sums
    assert [money_of(row[money[0].index("Amount")]) for row in money[1:]] == [Decimal("100.00")]
    assert len(rates) == len(vat_rows) + 1


def cells(page, caption: str) -> list[list[str]]:
    """What stands in the body of the table with that caption, row by row."""
    table = page.locator("table", has=page.locator("caption", has_text=caption)).first
    table.wait_for()
    return table.locator("tbody tr").evaluate_all(
        "rows => rows.map(row => [...row.cells].map(cell => cell.innerText.trim()))"
    )


def csv_of(page, link: str) -> list[dict[str, str]]:
    address = page.get_by_role("link", name=link).get_attribute("href")
    text = page.request.get(address_of(page, address)).body().decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text)))


def address_of(page, link: str) -> str:
    return page.evaluate("link => new URL(link, document.baseURI).href", link)


def print_of(page, paper) -> str:
    pdf = PdfReader(io.BytesIO(page.request.get(paper.get_absolute_url()).body()))
    return " ".join(" ".join(sheet.extract_text().split()) for sheet in pdf.pages)


def amount(printed: str) -> Decimal:
    return Decimal(printed.replace(",", "")) if printed else Decimal(0)


def money_of(cell) -> Decimal:
    return Decimal(str(cell)).quantize(PENNY)
