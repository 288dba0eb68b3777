"""manage.py load_sheet: all rows or none, a check that changes nothing, and every fault in words."""

import pytest
from django.core.management import CommandError, call_command

from inventory.models import Record
from orders.models import Shop
from tests.factories import make_person
from tests.factories.sheets import make_csv, make_xlsx

pytestmark = pytest.mark.django_db


@pytest.fixture
def sheet(tmp_path):
    def write(data: bytes, name: str = "shops.csv") -> str:
        (tmp_path / name).write_bytes(data)
        return str(tmp_path / name)

    return write


def test_a_check_says_what_would_come_and_loading_does_it(sheet, capsys):
    owner = make_person()
    file = sheet(make_xlsx(["Town", "Name"], ["Carrick", "Ossel Gifts"]), "shops.xlsx")
    call_command("load_sheet", "shops", file, "--check")
    assert capsys.readouterr().out.splitlines() == [
        "row 2 Ossel Gifts, new: Carrick", "Checked, nothing is changed. 1 shop: 1 new.",
    ]  # fmt: skip
    assert not Shop.objects.exists()
    call_command("load_sheet", "shops", file)
    assert capsys.readouterr().out.splitlines()[-1] == "Loaded. 1 shop: 1 new."
    assert Record.objects.get(subject="shop", subject_id=Shop.objects.get().pk).person == owner


def test_every_fault_is_printed_and_the_exit_is_1(sheet, capsys):
    make_person()
    with pytest.raises(SystemExit) as left:
        call_command("load_sheet", "shops", sheet(make_csv("Name,Town,Rank", "Ossel,Carrick,12", "Hob,,5")))
    assert left.value.code == 1
    assert capsys.readouterr().err.splitlines() == [
        "C2 “12”: 12 is out of bounds: at most 9.",
        "B3: is needed.",
        "2 faults in 2 rows; nothing is loaded before they are mended.",
    ]
    assert not Shop.objects.exists()


@pytest.mark.parametrize(
    ("data", "said"),
    [(b"", "is empty"), (make_csv("Name,Town", "=1+1,x"), "A2: a formula"), (b"x" * 10_000_001, "10 MB")],
)
def test_a_file_that_cannot_be_read_is_refused_in_words(sheet, capsys, data, said):
    make_person()
    with pytest.raises(SystemExit):
        call_command("load_sheet", "shops", sheet(data))
    assert said in capsys.readouterr().err


def test_who_does_it_is_the_first_owner_or_the_one_named(sheet):
    file = sheet(make_csv("Name,Town", "Ossel,Carrick"))
    with pytest.raises(CommandError, match="no book yet"):
        call_command("load_sheet", "shops", file)
    make_person()
    second = make_person(username="second")
    with pytest.raises(CommandError, match="No owner has the sign-in name nobody"):
        call_command("load_sheet", "shops", file, by="nobody")
    call_command("load_sheet", "shops", file, by="second")
    assert Record.objects.filter(subject="shop", person=second).exists()


def test_a_file_that_is_not_there_is_told(tmp_path):
    with pytest.raises(CommandError, match="no such file"):
        call_command("load_sheet", "shops", str(tmp_path / "none.csv"))
