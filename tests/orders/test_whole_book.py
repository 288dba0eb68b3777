"""Take it with you: every table in one file, no secret in it, and nothing a spreadsheet would run."""

import csv
import io
import zipfile
from datetime import date

import pytest
from django.contrib.auth import get_user_model
from django.urls import reverse
from openpyxl import load_workbook

from inventory import book_out
from inventory.models import Candle
from inventory.xlsx_out import TITLE_LENGTH
from orders.models import Shop
from orders.queries.whole_book import book_tables
from tests.factories import make_candle, make_shop

pytestmark = pytest.mark.django_db
EVIL = "=HYPERLINK(1)"


@pytest.fixture
def owner(client_for):
    return client_for("owner")


def taken(owner, name: str) -> io.BytesIO:
    return io.BytesIO(b"".join(owner.get(reverse(name)).streaming_content))


def test_every_table_has_a_name_of_its_own_that_fits_a_sheet():
    names = [table.name for table in book_tables()]
    assert len(set(names)) == len(names)
    assert not [name for name in names if len(name) > TITLE_LENGTH or set(name) & set("[]:*?/\\")]


def test_nothing_that_would_let_somebody_in_is_taken_along():
    fields = {field.name for table in book_tables() for field in table.fields}
    assert not [name for name in fields if any(word in name for word in ("password", "pin", "token", "nonce"))]
    assert {"full_name", "trade_price", "content"} <= fields


def test_the_workbook_holds_every_row_as_what_it_is(owner):
    candle = make_candle(code="IV250", name=EVIL)
    book = load_workbook(taken(owner, "take_xlsx"))
    assert book.sheetnames == ["Contents", *(table.name for table in book_tables())]
    headings, row = book["Candle"].iter_rows()
    cells = dict(zip([cell.value for cell in headings], row, strict=True))
    assert (cells["code"].value, cells["trade_price"].value) == ("IV250", float(candle.trade_price))
    assert (cells["name"].value, cells["name"].data_type, cells["active"].value) == (EVIL, "s", "yes")
    assert cells["wax_id"].value == candle.wax_id


def test_the_csvs_are_harmless_and_hold_every_row(owner):
    make_shop(name="+cmd", town="@x")
    with zipfile.ZipFile(taken(owner, "take_csv")) as made:
        assert set(made.namelist()) == {f"{name}.csv" for name in ["Contents", *(t.name for t in book_tables())]}
        rows = list(csv.DictReader(made.read("Shop.csv").decode("utf-8-sig").splitlines()))
    assert [(row["name"], row["town"], row["active"]) for row in rows] == [("'+cmd", "'@x", "yes")]


def test_what_a_sheet_of_xlsx_cannot_hold_goes_on_or_says_so(monkeypatch):
    monkeypatch.setattr(book_out, "MOST_SHEET_ROWS", 3)
    made = io.BytesIO()
    rows = [["id", "text"], *([n, "x" * 40_000] for n in range(4)), [date(2026, 12, 9), "\x01y"]]
    book_out.write_xlsx(made, [("Long", iter(rows))])
    book = load_workbook(made)
    assert book.sheetnames == ["Long", "Long 2"]
    assert [cell.value for cell in book["Long 2"]["A"]][:2] == ["id", 2]
    assert book["Long"]["B2"].value.endswith(book_out.CUT)
    assert book["Long 2"]["B4"].value == " y"


def test_the_page_counts_every_table_by_one_query(owner, django_assert_num_queries):
    make_candle()
    owner.get(reverse("take_with_you"))
    for _ in range(2):
        with django_assert_num_queries(3):
            page = owner.get(reverse("take_with_you")).content.decode()
        for _ in range(30):
            make_shop()
    rows = {table.model: table.rows for table in book_tables(counted=True)}
    assert (rows[Candle], rows[Shop]) == (1, 60)
    assert rows[get_user_model()] == get_user_model().objects.count()
    assert "tables." in page


@pytest.mark.parametrize("name", ["take_with_you", "take_xlsx", "take_csv"])
def test_only_the_owner_takes_the_book_along(client_for, owner, name):
    assert client_for("bookkeeper").get(reverse(name)).status_code == 403
    assert owner.post(reverse(name)).status_code == 405
