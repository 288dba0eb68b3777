"""Sheets of candles, shops, stock and orders: checked whole, loaded whole or not at all."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, transaction
from django.utils import timezone

from inventory.domain.sheets import check_sheet, load_file, load_sheet, remember_headings, take_in_sheet
from inventory.models import Candle, Lot, Record, SheetFile, SheetMapping
from orders.domain.sheets import KINDS
from orders.models import Order, OrderLine, Shop
from tests.factories import make_candle, make_lot, make_person, make_shelf, make_shop
from tests.factories.house import make_colour, make_wax
from tests.factories.sheets import make_csv, make_xlsx

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner():
    return make_person()


@pytest.fixture
def load(owner):
    def act(kind, *rows, check=False):
        verb = check_sheet if check else load_sheet
        return verb(kind=KINDS[kind], data=make_csv(*rows), name=f"{kind}.csv", by=owner)

    return act


def next_friday() -> str:
    return f"{timezone.localdate() + timedelta(days=9):%d/%m/%Y}"


def faults_of(result) -> dict[str, str]:
    assert result.outcomes == []
    return {fault.place: fault.why for fault in result.faults}


def test_candles_come_in_and_are_changed_where_the_sheet_says_otherwise(load, owner):
    wax, colour = make_wax(name="Beeswax"), make_colour(code="IV", name="Ivory")
    make_candle(code="RD250", name="Red taper", wax=wax, colour=colour, trade_price=Decimal("2.40"), wick="CD-10")
    result = load(
        "candles",
        "Trade price;Code;Name;Length (mm);Base diameter;Wax;Colour;Wick;Pairs to a box;GTIN",
        "2,20;iv250;Ivory taper;250 mm;22;beeswax;IV;CD-10;24;5012345678900",
        "£2.60;RD250;;;;;;;;",
    )
    assert [(one.row, one.what, one.label) for one in result.outcomes] == [
        (2, "new", "IV250"), (3, "changed", "RD250"),
    ]  # fmt: skip
    assert "2.40 to 2.60" in result.outcomes[1].said
    ivory = Candle.objects.get(code="IV250")
    assert (ivory.trade_price, ivory.tip_mm, ivory.gtin) == (Decimal("2.20"), 22, "5012345678900")
    red = Candle.objects.get(code="RD250")
    assert (red.trade_price, red.wick, red.version) == (Decimal("2.60"), "CD-10", 2)
    assert Record.objects.filter(subject="candle", subject_id=red.pk, person=owner).exists()


def test_a_candle_that_is_there_as_the_sheet_says_stays_as_it_is(load):
    candle = make_candle(code="RD250")
    (one,) = load("candles", "Code,Name", f"RD250,{candle.name}").outcomes
    candle.refresh_from_db()
    assert (one.what, candle.version) == ("unchanged", 1)


def test_every_fault_is_told_at_once_by_its_cell_and_nothing_is_loaded(load):
    make_wax(name="Beeswax")
    make_candle(code="RD250")
    result = load(
        "candles",
        "Code,Name,Wax,Trade price,GTIN,Diametre,Frills",
        "RD250,,Beeswx,,5012345678901,,x",
        "ZZ1,New one,Beeswax,2.20,,,",
        "RD250,,,0,,,",
    )
    found = faults_of(result)
    assert "Nearest: Beeswax" in found["C2"]
    assert "5012345678900" in found["E2"]
    assert "Is it “Base diameter (mm)”?" in found["F1"]
    assert found["G1"] == "is no column of this sheet."
    assert found["A4"] == "stands in row 2 already."
    assert "at least 0.01" in found["D4"]
    assert any(fault.place == "row 3" and "Wick" in fault.why for fault in result.faults)
    assert not Candle.objects.filter(code="ZZ1").exists()
    assert not SheetFile.objects.exists()


def test_shops_come_in_with_address_and_contact(load):
    make_shop(name="Hob Lane Deli", town="Hexley", discount=0)
    rows = (
        "Shop,Town,Address,Post code,Contact,Phone,Discount,Takes complete deliveries only",
        "Ossel Gifts,Carrick,4 Tanner Row,ZZ2 2BB,Ann Example,01632 960123,7.5%,yes",
        "hob lane deli,,5 Hob Lane,ZZ3 3CC,,01632 960124,5,",
    )
    assert [one.what for one in load("shops", *rows).outcomes] == ["new", "changed"]
    ossel, hob = Shop.objects.get(name="Ossel Gifts"), Shop.objects.get(name="Hob Lane Deli")
    assert (ossel.discount, ossel.complete_only) == (Decimal("7.5"), True)
    assert ossel.addresses.get().as_lines == ["4 Tanner Row", "Carrick", "ZZ2 2BB"]
    assert ossel.contacts.get().telephone == "01632 960123"
    assert (hob.discount, hob.addresses.get().lines, hob.town) == (5, "5 Hob Lane", "Hexley")
    assert [one.what for one in load("shops", *rows).outcomes] == ["unchanged", "unchanged"]
    assert hob.contacts.count() == 1


def test_a_shop_is_refused_at_the_cell_that_is_wrong(load):
    found = faults_of(
        load(
            "shops",
            "Name,Town,Rank,Currency,E-mail,Why it is on stop,On stop,Postcode",
            "Ossel Gifts,Carrick,11,POUND,,,yes,",
            "Fern & Flint,,5,GBP,nobody,,,",
            "Quayside,Port Hallow,5,GBP,,,yes,ZZ1 1AA",
            "Hob,Hexley,5,GBP,not-a-mail,,,",
        )
    )
    assert "at most 9" in found["C2"]
    assert "Nearest:" in found["D2"]
    assert found["B3"] == "is needed."
    assert found["F4"] == "Say why the shop is on stop."
    assert "valid email" in found["E5"]


def test_opening_stock_becomes_lots_once(load):
    ivory = make_candle(code="IV250", name="Ivory taper 250 x 22", pairs_per_box=24)
    make_candle(code="RD250", name="Red taper 250 x 22")
    make_shelf(code="A1")
    rows = (
        "Qty,Code,Description,Quality,Fault,Dipped on,Shelf",
        "2 doz,iv-250,Ivory taper 250 x 22,,,3/10/2026,a1",
        "3b,IV250,,,,,",
        "five,,Red taper 250 x 22,seconds,bent,,",
        ",RD250,,,,,",
    )
    result = load("stock", *rows)
    assert [one.what for one in result.outcomes] == ["new", "new", "new", "left out"]
    found = list(Lot.objects.order_by("pk").values_list("candle__code", "grade", "on_hand", "fault", "shelf__code"))
    assert found == [
        ("IV250", "firsts", 24, "", "A1"), ("IV250", "firsts", 72, "", None), ("RD250", "seconds", 5, "bent", None),
    ]  # fmt: skip
    assert str(ivory.lots.first().made_on) == "2026-10-03"
    assert ivory.lots.first().movements.get().kind == "counted in"
    with pytest.raises(ValidationError, match="This very file was loaded"):
        load("stock", *rows)
    assert Lot.objects.count() == 3


def test_candles_of_another_year_are_never_guessed(load):
    make_candle(code="IV250", name="Ivory taper 250 x 22")
    make_lot(make_candle(code="RD250", name="Red taper 250 x 22"), 4, code="F26-1")
    found = faults_of(
        load(
            "stock",
            "Code,Name,Pairs,Code on the box,Fault",
            "IV251,,24,,",
            "IV250,Red taper 250 x 22,24,,",
            "IV250,,about 20,,",
            "IV250,,12,F26-1,",
            "IV250,,12,,bent",
            ",,12,,",
        )
    )
    assert "Nearest: IV250 (Ivory taper 250 x 22)" in found["A2"]
    assert "which is meant?" in found["B3"]
    assert "no quantity" in found["C4"]
    assert found["D5"] == "There is a lot F26-1 already."
    assert "Firsts have no fault" in found["E6"]
    assert found["A7"] == "is needed."
    assert Lot.objects.count() == 1


def test_rows_of_one_shop_reference_and_day_are_one_order(load, owner):
    make_candle(code="IV250", pairs_per_box=24)
    make_candle(code="RD250")
    make_shop(name="Ossel Gifts", town="Carrick")
    make_shop(name="Hob Lane Deli", town="Hexley")
    day = next_friday()
    result = load(
        "orders",
        "Shop,Their reference,Code,Pairs,Ship by,Confirm,Notes",
        f"Ossel Gifts,PO-1,IV250,2b,{day},yes,ring first",
        f'"Hob Lane Deli, Hexley",PO-1,IV250,12,{day},,',
        f"Ossel Gifts,PO-1,RD250,a dozen,{day},,",
        f"Ossel Gifts,PO-1,RD250,-,{day},,",
    )
    assert sorted(one.what for one in result.outcomes) == ["left out", "new", "new", "new"]
    ossel, hob = Order.objects.get(shop__name="Ossel Gifts"), Order.objects.get(shop__name="Hob Lane Deli")
    assert (ossel.status, ossel.notes, hob.status) == ("confirmed", "ring first", "draft")
    assert list(ossel.lines.values_list("candle__code", "pairs")) == [("IV250", 48), ("RD250", 12)]
    assert (hob.made_by, hob.deliver_to) == (owner, hob.shop.addresses.get())


def test_an_order_is_refused_where_anything_of_it_is_doubtful(load):
    make_candle(code="IV250")
    make_candle(code="GN250", active=False)
    shop = make_shop(name="Ossel Gifts")
    make_shop(name="Fern & Flint", reference_required=True)
    day = next_friday()
    load("orders", "Shop,Reference,Code,Pairs,Ship by", f"Ossel Gifts,PO-1,IV250,12,{day}")
    found = faults_of(
        load(
            "orders",
            "Shop,Reference,Code,Pairs,Ship by",
            f"Osel Gifts,,IV250,12,{day}",
            f"Ossel Gifts,PO-1,IV250,24,{day}",
            f"Fern & Flint,,IV250,12,{day}",
            f"Ossel Gifts,PO-2,GN250,12,{day}",
            "Ossel Gifts,PO-3,IV250,12,1/1/2020",
            "Ossel Gifts,PO-4,IV250,12,",
        )
    )
    assert "Nearest: Ossel Gifts" in found["A2"]
    assert "has this reference already" in found["B3"]
    assert "needs its own reference" in found["B4"]
    assert "no longer in the catalogue" in found["C5"]
    assert "too early" in found["E6"]
    assert found["E7"] == "is needed."
    assert shop.orders.count() == 1


def test_a_check_changes_nothing(load, owner):
    make_candle(code="IV250")
    make_shop(name="Ossel Gifts")
    row = f"Ossel Gifts,PO-1,IV250,12,{next_friday()},yes"

    def counts():
        return [model.objects.count() for model in (Order, OrderLine, Lot, Shop, Candle, Record, SheetFile)]

    before = counts()
    checked = load("orders", "Shop,Reference,Code,Pairs,Ship by,Confirm", row, check=True)
    number = checked.outcomes[0].said
    assert counts() == before
    assert load("orders", "Shop,Reference,Code,Pairs,Ship by,Confirm", row).outcomes[0].said == number


def test_what_a_heading_means_is_remembered_whatever_the_order(load, owner):
    remember_headings(kind=KINDS["shops"], meant={"Kunde": "name", "Ort": "town", "Farbe": ""}, by=owner)
    assert [one.what for one in load("shops", "Farbe,Ort,KUNDE", "red,Carrick,Ossel Gifts").outcomes] == ["new"]
    with pytest.raises(ValidationError, match="no column"):
        remember_headings(kind=KINDS["shops"], meant={"Kunde": "surname"}, by=owner)
    with pytest.raises(IntegrityError), transaction.atomic():
        SheetMapping.objects.create(kind="shops", heading="kunde", column="town")


def test_a_kept_file_is_loaded_once_and_then_only_its_digest_stays(owner):
    make_candle(code="IV250")
    data = make_xlsx(["Code", "Pairs"], ["IV250", 24])
    file, kind = take_in_sheet(kind=KINDS["stock"], data=data, name="stock.xlsx", by=owner), KINDS["stock"]
    copy = SheetFile.objects.create(
        kind="stock", name="copy", sha256=file.sha256, data=data, once=True, taken_at=file.taken_at, taken_by=owner
    )
    assert load_file(kind=kind, file=file, by=owner).faults == []
    assert load_file(kind=kind, file=file, by=owner) is None
    with pytest.raises(ValidationError, match="This very file"):
        load_file(kind=kind, file=copy, by=owner)
    file.refresh_from_db()
    assert (Lot.objects.count(), bytes(file.data), file.told) == (1, b"", ["1 row of stock: 1 new."])
    with pytest.raises(IntegrityError), transaction.atomic():
        SheetFile.objects.filter(pk=copy.pk).update(loaded_at=timezone.now(), loaded_by=owner)


def test_only_the_owner_brings_sheets_in():
    packer = make_person("packer")
    for act in (take_in_sheet, load_sheet):
        with pytest.raises(PermissionDenied):
            act(kind=KINDS["shops"], data=make_csv("Name,Town", "Ossel,Carrick"), name="x.csv", by=packer)
    assert not Shop.objects.exists()
