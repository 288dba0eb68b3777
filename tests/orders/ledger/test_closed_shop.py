"""A shop is never deleted, only closed: it takes no more orders, and its ledger goes on until all is paid."""

from decimal import Decimal

import pytest
from django.db.models import ProtectedError
from django.urls import get_resolver, reverse
from django.utils import timezone

from orders.domain.payments import post_payment
from orders.domain.shops import change_shop
from orders.models import Shop
from tests.factories import make_order, make_person, make_shop, make_workshop
from tests.orders.ledger.books import key, make_invoice

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop():
    make_workshop()
    shop = make_shop(name="The Lamp Room")
    make_order(shop, status="done")
    return shop


def test_a_closed_shop_is_reminded_pays_and_stands_in_the_books(client_for, shop):
    invoice, keeper = make_invoice(shop, "120.00", due=-20), client_for("bookkeeper")
    change_shop(shop=shop, version=1, fields={"active": False}, by=make_person())
    assert "The Lamp Room" in keeper.get(reverse("debts")).content.decode()
    assert "is to be paid now" in keeper.get(reverse("reminder_new", args=[shop.pk])).content.decode()
    post_payment(
        shop=shop, amount=Decimal(120), on=timezone.localdate(), how="bank", parts={key(invoice): Decimal(120)},
        by=keeper.person,
    )  # fmt: skip
    page = keeper.get(reverse("shop_ledger", args=[shop.pk])).content.decode()
    assert "The Lamp Room owes nothing." in page
    assert f"Invoice {invoice}" in page
    days = {"first": invoice.paper.issued_on, "last": invoice.paper.issued_on}
    assert "The Lamp Room" in keeper.get(reverse("day_book"), days).content.decode()


def test_a_closed_shop_is_not_offered_to_order_entry_and_can_be_opened_again(client_for, shop):
    packer, owner = client_for("packer"), make_person()
    change_shop(shop=shop, version=1, fields={"active": False}, by=owner)
    found = packer.get(reverse("shop_find"), {"q": "lamp"}).content.decode()
    assert "The Lamp Room" not in found
    change_shop(shop=shop, version=2, fields={"active": True}, by=owner)
    assert Shop.objects.get().active


def test_nothing_deletes_a_shop(shop):
    names = {name for name in get_resolver().reverse_dict if isinstance(name, str) and name.startswith("shop")}
    assert "shop_edit" in names
    assert not [name for name in names if name.endswith(("_delete", "_remove", "_drop")) and "group" not in name]
    with pytest.raises(ProtectedError):
        shop.delete()
    assert Shop.objects.filter(pk=shop.pk).exists()
