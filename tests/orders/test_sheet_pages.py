"""Sheets in, page by page: chosen, its headings said, checked, loaded."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from openpyxl import load_workbook

from inventory.models import Lot, SheetFile, SheetMapping
from inventory.sheets import read_sheet
from orders.domain.sheets import KINDS
from orders.models import Shop
from tests.factories import make_candle
from tests.factories.sheets import make_csv, make_xlsx
from tests.html import Page

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client_for):
    return client_for("owner")


def send(client, kind: str, data: bytes, name: str = "list.csv"):
    """The answer to a sheet sent: refused, or where it leads once its headings are known."""
    answer = client.post(reverse("sheets_in"), {"kind": kind, "file": SimpleUploadedFile(name, data)})
    if answer.status_code != 302:
        return answer
    then = client.get(answer.url)
    return then if then.status_code == 302 else answer


def test_a_sheet_with_known_headings_is_checked_and_loaded_at_once(owner):
    answer = send(owner, "shops", make_csv("Town,Name", "Carrick,Ossel Gifts", "Hexley,Hob Lane Deli"))
    file = SheetFile.objects.get()
    assert answer.url == reverse("sheet_in", args=[file.pk])
    page = owner.get(answer.url).content.decode()
    assert "2 shops can be loaded: 2 new." in page
    assert not Shop.objects.exists()
    assert owner.post(answer.url).url == answer.url
    assert owner.post(answer.url).status_code == 200  # pressed twice: what became of it is shown, nothing is done
    assert Shop.objects.count() == 2
    assert "2 shops: 2 new." in owner.get(answer.url).content.decode()


def test_headings_not_known_are_asked_for_once(owner):
    rows = make_csv("Kunde,Ort,Farbe", "Ossel Gifts,Carrick,red")
    answer = send(owner, "shops", rows)
    assert answer.url == reverse("sheet_headings", args=[SheetFile.objects.get().pk])
    page = owner.get(answer.url).content.decode()
    assert "3 headings of list.csv are not known yet." in page
    assert "Beneath it: Ossel Gifts" in page
    refused = owner.post(answer.url, {"h0": "name", "h1": "name", "h2": ""})
    assert refused.status_code == 422
    chosen = Page(refused.content.decode()).all("option", value="name", selected=None)
    assert len(chosen) == 2
    assert not SheetMapping.objects.exists()
    again = owner.get(answer.url, {"again": 1})
    assert again.status_code == 200
    answer = owner.post(answer.url, {"h0": "name", "h1": "town", "h2": "-"})
    page = owner.get(answer.url).content.decode()
    assert "1 shop can be loaded: 1 new." in page
    assert "Left out, as you said: C “Farbe”." in page
    assert send(owner, "shops", rows).url == reverse("sheet_in", args=[SheetFile.objects.get().pk])


def test_two_columns_of_one_heading_cannot_mean_two_things(owner):
    url = send(owner, "shops", make_csv("Name,Ort,Ort", "Ossel Gifts,Carrick,red")).url
    refused = owner.post(url, {"h0": "name", "h1": "town", "h2": "-"})
    assert refused.status_code == 422
    assert "Another column has the same heading" in refused.content.decode()


def test_a_file_put_away_meanwhile_is_not_loaded(owner):
    url = send(owner, "shops", make_csv("Name,Town", "Ossel Gifts,Carrick")).url
    send(owner, "shops", make_csv("Name,Town", "Hob Lane Deli,Hexley"))
    assert owner.post(url).status_code == 404
    assert not Shop.objects.exists()


def test_faults_are_shown_by_their_cells_and_nothing_is_loaded(owner):
    make_candle(code="IV250")
    url = send(owner, "stock", make_csv("Code,Pairs", "IV250,24", "IV260,2 dzo")).url
    checked = owner.get(url).content.decode()
    loaded = owner.post(url)
    assert loaded.status_code == 422
    for page in (checked, loaded.content.decode()):
        assert "2 faults in 1 row; nothing is loaded before they are mended." in page
        assert {"A3", "B3"} <= {cell["text"] for cell in Page(page).all("td")}
        assert "Load all of it" not in page
    assert not Lot.objects.exists()


@pytest.mark.parametrize(
    ("kind", "data", "said"),
    [
        ("shops", b"", "is empty"),
        ("shops", b"Name,Town\n", "no row beneath them"),
        ("shops", make_csv("Name,Town", "=1+1,=2+2"), "B2: a formula"),
        ("shops", b"\0" * 10_000_001, "at most 10 MB"),
        ("money", make_csv("Name,Town", "Ossel,Carrick"), "money is not one of the available choices"),
    ],
)
def test_a_file_that_cannot_be_read_is_refused_beside_its_field(owner, kind, data, said):
    refused = send(owner, kind, data)
    assert refused.status_code == 422
    assert said in refused.content.decode()
    assert not SheetFile.objects.exists()


def test_a_form_without_a_file_is_refused(owner):
    assert owner.post(reverse("sheets_in"), {"kind": "shops"}).status_code == 422


def test_the_same_stock_is_not_taken_in_twice(owner):
    make_candle(code="IV250")
    data = make_csv("Code,Pairs", "IV250,24")
    owner.post(send(owner, "stock", data).url)
    refused = send(owner, "stock", data, "another name.csv")
    assert (refused.status_code, Lot.objects.count()) == (422, 1)
    assert "This very file was loaded" in refused.content.decode()


def test_rows_that_take_too_long_to_try_are_refused_in_words(owner, monkeypatch):
    url = send(owner, "shops", make_csv("Name,Town", "Ossel Gifts,Carrick")).url
    monkeypatch.setattr("inventory.domain.sheets.MOST_WORK_SECONDS", -1)
    for answer in (owner.get(url), owner.post(url)):
        assert answer.status_code == 422
        assert "Trying the rows on the book takes longer" in answer.content.decode()
    assert not Shop.objects.exists()


def test_what_changed_between_check_and_load_is_told(owner):
    url = send(owner, "shops", make_csv("Name,Town", "Ossel Gifts,Carrick")).url
    Shop.objects.create(name="Ossel Gifts", town="Carrick", active=True)
    owner.post(url)
    assert SheetFile.objects.get().told == ["1 shop: 1 unchanged."]


@pytest.mark.parametrize("kind", KINDS)
def test_a_blank_sheet_of_each_kind_holds_its_columns_and_what_may_stand_there(owner, kind):
    address = reverse("sheet_kind", args=[kind])
    assert owner.get(address).status_code == 200
    book = load_workbook(io.BytesIO(owner.get(address, {"blank": "xlsx"}).content))
    columns = KINDS[kind].columns()
    assert [cell.value for cell in book.worksheets[0][1]] == [column.label for column in columns]
    assert [row[0].value for row in book["What may stand there"]][1:] == [column.label for column in columns]


def test_what_the_blank_stock_sheet_gives_as_its_example_can_be_loaded(owner):
    make_candle(code="IV250")
    columns = [column for column in KINDS["stock"].columns() if column.example]
    data = make_xlsx([column.label for column in columns], [column.example for column in columns])
    assert read_sheet(data).headings[0] == "Candle"
    owner.post(send(owner, "stock", data, "stock.xlsx").url)
    assert Lot.objects.get().on_hand == 24


def test_only_the_owner_comes_here_and_unknown_kinds_are_not_there(client_for, owner):
    url = send(owner, "shops", make_csv("Name,Town", "Ossel Gifts,Carrick")).url
    packer = client_for("packer")
    for address in (reverse("sheets_in"), url, reverse("sheet_kind", args=["stock"])):
        assert packer.get(address).status_code == 403
    assert packer.post(url).status_code == 403
    assert not Shop.objects.exists()
    assert owner.get(reverse("sheet_kind", args=["money"])).status_code == 404


def test_the_list_asks_as_often_for_thirty_files_as_for_one(owner, django_assert_num_queries):
    make_candle(code="IV250")

    def bring_in(number):
        owner.post(send(owner, "stock", make_csv("Code,Pairs", f"IV250,{number}")).url)

    bring_in(1)
    owner.get(reverse("sheets_in"))
    with django_assert_num_queries(5):
        owner.get(reverse("sheets_in"))
    file = SheetFile.objects.get()
    SheetFile.objects.bulk_create(
        SheetFile(
            kind="shops", name=f"{n}.csv", sha256=str(n), once=False, taken_at=file.taken_at, taken_by=owner.person
        )
        for n in range(30)
    )
    with django_assert_num_queries(5):
        owner.get(reverse("sheets_in"))
