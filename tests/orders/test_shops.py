from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import PermissionDenied, ValidationError
from django.db import IntegrityError, transaction

from inventory.domain.versions import StaleVersion
from inventory.models import Record
from orders.domain.invoicing import issue_invoice
from orders.domain.shops import (
    add_shop,
    change_shop,
    remove_address,
    save_address,
)
from orders.models import Address, Shop
from orders.queries.credit import credit_of
from orders.queries.shops import invoice_address_of
from tests.factories import make_address, make_order, make_person, make_shop, make_workshop
from tests.factories.sent import make_sent

pytestmark = pytest.mark.django_db
ADDRESS = {"kind": "delivery", "label": "Warehouse", "lines": "1 Quay", "town": "Carrick", "postcode": "ZZ3 3CC"}


@pytest.fixture
def owner():
    return make_person()


def test_a_change_grows_the_version_and_says_what_it_was(owner):
    shop = make_shop(discount=Decimal("5"))
    change_shop(shop=shop, version=1, fields={"discount": Decimal("10"), "complete_only": True}, by=owner)
    shop.refresh_from_db()
    assert (shop.version, shop.discount, shop.complete_only) == (2, 10, True)
    said = Record.objects.get(subject="shop", subject_id=shop.pk)
    assert said.what == "discount (%): 10, was 5.00; takes complete deliveries only: yes, was no"
    assert said.person == owner


def test_the_same_values_change_nothing(owner):
    shop = make_shop(discount=Decimal("5"))
    change_shop(shop=shop, version=1, fields={"discount": Decimal("5.00"), "name": shop.name}, by=owner)
    assert Shop.objects.get().version == 1
    assert not Record.objects.exists()


def test_a_stale_version_is_refused(owner):
    shop = make_shop()
    change_shop(shop=shop, version=1, fields={"rank": 2}, by=owner)
    with pytest.raises(StaleVersion):
        change_shop(shop=shop, version=1, fields={"rank": 7}, by=owner)
    assert Shop.objects.get().rank == 2


def test_the_bookkeeper_keeps_terms_and_stop_only():
    shop, by = make_shop(), make_person("bookkeeper")
    change_shop(shop=shop, version=1, fields={"terms_days": 14, "on_stop": True, "stop_reason": "owes"}, by=by)
    with pytest.raises(PermissionDenied):
        change_shop(shop=shop, version=2, fields={"discount": Decimal("50")}, by=by)
    with pytest.raises(PermissionDenied):
        change_shop(shop=shop, version=2, fields={"terms_days": 1}, by=make_person("packer"))
    with pytest.raises(PermissionDenied):
        add_shop(fields={"name": "X", "town": "Y"}, by=by)
    shop.refresh_from_db()
    assert (shop.terms_days, shop.on_stop, shop.discount) == (14, True, 0)


def test_a_stop_needs_a_reason_and_loses_it_when_lifted(owner):
    shop = make_shop()
    with pytest.raises(ValidationError) as refused:
        change_shop(shop=shop, version=1, fields={"on_stop": True, "stop_reason": " "}, by=owner)
    assert list(refused.value.message_dict) == ["stop_reason"]
    change_shop(shop=shop, version=1, fields={"on_stop": True, "stop_reason": "owes"}, by=owner)
    change_shop(shop=shop, version=2, fields={"on_stop": False}, by=owner)
    assert Shop.objects.get().stop_reason == ""
    with pytest.raises(IntegrityError), transaction.atomic():
        Shop.objects.create(name="A", town="B", on_stop=True)


@pytest.mark.parametrize(
    "fields", [{"rank": 0}, {"rank": 10}, {"discount": Decimal("-1")}, {"discount": Decimal("91")}]
)
def test_bounds_are_kept_by_the_domain_and_by_the_database(owner, fields):
    shop = make_shop()
    with pytest.raises(ValidationError) as refused:
        change_shop(shop=shop, version=1, fields=fields, by=owner)
    assert next(iter(refused.value.message_dict)) in fields
    with pytest.raises(IntegrityError), transaction.atomic():
        Shop.objects.create(name="Bare", town="B", **fields)


def test_a_shop_with_open_orders_stays_served(owner):
    shop = make_shop()
    make_order(shop)
    with pytest.raises(ValidationError, match="still open"):
        change_shop(shop=shop, version=1, fields={"active": False}, by=owner)
    shop.orders.update(status="done")
    change_shop(shop=shop, version=1, fields={"active": False}, by=owner)
    assert not Shop.objects.get().active


@pytest.mark.parametrize(
    ("number", "kept"),
    [("gb 999 9999 73", "GB999999973"), ("XI999999973", "XI999999973"), ("IE6433435F", "IE6433435F"), ("", "")],
)
def test_vat_numbers_are_checked_by_their_country(owner, number, kept):
    shop = add_shop(fields={"name": "A", "town": "B", "vat_number": number}, by=owner)
    assert shop.vat_number == kept


@pytest.mark.parametrize("number", ["999999973", "GB999999974", "ZZ123", "GB", "\u0662", "IE1"])
def test_wrong_vat_numbers_are_refused(owner, number):
    with pytest.raises(ValidationError) as refused:
        add_shop(fields={"name": "A", "town": "B", "vat_number": number}, by=owner)
    assert list(refused.value.message_dict) == ["vat_number"]


def test_one_usual_address_of_each_kind(owner):
    shop = make_shop(address=False)
    first = save_address(shop=shop, version=1, fields=ADDRESS, by=owner)
    assert first.usual, "the first of its kind is the usual one"
    second = save_address(shop=shop, version=2, fields={**ADDRESS, "label": "Shop", "usual": True}, by=owner)
    bills = save_address(shop=shop, version=3, fields={**ADDRESS, "kind": "invoice"}, by=owner)
    first.refresh_from_db()
    assert (first.usual, second.usual, bills.usual) == (False, True, True)
    with pytest.raises(ValidationError) as refused:
        save_address(shop=shop, version=4, address=second, fields={"usual": False}, by=owner)
    assert list(refused.value.message_dict) == ["usual"]
    with pytest.raises(IntegrityError), transaction.atomic():
        Address.objects.create(shop=shop, usual=True, **ADDRESS)


def test_an_address_keeps_its_kind(owner):
    shop = make_shop()
    address = shop.addresses.get()
    save_address(shop=shop, version=1, address=address, fields={"kind": "invoice", "town": "Hexley"}, by=owner)
    address.refresh_from_db()
    assert (address.kind, address.town) == ("delivery", "Hexley")


def test_an_address_orders_go_to_stays(owner):
    shop = make_shop()
    make_order(shop)
    usual = shop.addresses.get()
    spare = make_address(shop, usual=False, label="Spare")
    with pytest.raises(ValidationError, match="usual"):
        remove_address(shop=shop, address=usual, version=1, by=owner)
    remove_address(shop=shop, address=spare, version=1, by=owner)
    with pytest.raises(ValidationError, match="Orders go to"):
        remove_address(shop=shop, address=usual, version=2, by=owner)
    assert list(shop.addresses.all()) == [usual]


def test_invoices_go_to_the_invoice_address_where_there_is_one(owner):
    shop = make_shop()
    assert invoice_address_of(shop).kind == "delivery"
    bills = make_address(shop, kind="invoice", usual=False, label="Accounts")
    assert invoice_address_of(Shop.objects.get()) == bills
    assert invoice_address_of(make_shop(address=False)) is None


def test_credit_counts_what_is_owed_whenever_it_is_due():
    make_workshop(vat_number="")
    shop = make_shop(credit_limit=Decimal("100"))
    for issued_on in (date(2026, 11, 20), date(2026, 12, 1)):
        delivery = make_sent(make_order(shop))
        issue_invoice(shop=shop, delivery_ids=[delivery.pk], issued_on=issued_on, by=make_person())
    one, none = Decimal("52.80"), Decimal("0.00")
    for day, late in ((date(2026, 12, 20), none), (date(2026, 12, 21), one), (date(2027, 1, 1), 2 * one)):
        credit = credit_of(shop, day)
        assert (credit.owed, credit.late, credit.over) == (2 * one, late, True)
    assert not credit_of(make_shop(), date(2026, 12, 21)).over
