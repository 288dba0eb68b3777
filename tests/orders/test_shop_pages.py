from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Record
from orders.domain.shops import (
    change_shop,
    save_contact,
)
from orders.models import Address, Contact, Shop
from tests.factories import make_address, make_order, make_person, make_shop
from tests.factories.sent import make_sent

pytestmark = pytest.mark.django_db
ADDRESS = {"kind": "delivery", "label": "Warehouse", "lines": "1 Quay", "town": "Carrick", "postcode": "ZZ3 3CC"}


@pytest.fixture
def owner():
    return make_person()


def typed(**changes):
    """A shop form as a browser sends it; a None leaves the field out."""
    fields = {
        "name": "The Lamp Room",
        "town": "Wexcombe",
        "rank": "3",
        "discount": "5",
        "terms_days": "30",
        "currency": "GBP",
        "carriage": "8.50",
        "carriage_by": "flat",
        "carriage_kilos": "10",
        "prompt_percent": "0",
        "prompt_days": "7",
        "carriage_free_above": "250",
        "other_colour": "ask",
        "vat_number": "",
        "credit_limit": "2000",
        "stop_reason": "",
        "packer_notes": "Rear door.",
        "active": "on",
        **changes,
    }
    return {name: value for name, value in fields.items() if value is not None}


def test_the_list_says_how_many_and_finds_by_every_word(client_for):
    make_shop(name="The Lamp Room", town="Wexcombe")
    other = make_shop(name="Fern & Flint", town="Orrin Bay", on_stop=True, stop_reason="owes since May")
    Contact.objects.create(shop=other, name="Ada Quill")
    client = client_for("packer")
    page = client.get(reverse("shops")).content.decode()
    assert "2 shops on the books; 1 is on stop." in page
    assert "on stop: owes since May" in page
    for words in ("lamp wex", "ZZ2 room", "LAMP"):
        page = client.get(reverse("shops"), {"q": words}).content.decode()
        assert "The Lamp Room" in page
        assert "Fern &amp; Flint" not in page
    assert "Fern &amp; Flint" in client.get(reverse("shops"), {"q": "quill"}).content.decode()
    assert "No shop fits" in client.get(reverse("shops"), {"q": "nobody"}).content.decode()


def test_the_list_filters_and_answers_htmx_with_the_part(client_for):
    make_shop(name="Gone", active=False)
    make_shop(name="Whole", complete_only=True)
    make_shop(name="Stopped", on_stop=True, stop_reason="owes")
    client = client_for("bookkeeper")
    for stands, name in (("gone", "Gone"), ("complete", "Whole"), ("stop", "Stopped")):
        page = client.get(reverse("shops"), {"stands": stands}, headers={"HX-Request": "true"}).content.decode()
        assert "<html" not in page
        assert [n for n in ("Gone", "Whole", "Stopped") if n + "," in page] == [name]
    assert "Gone," not in client.get(reverse("shops")).content.decode()


@pytest.mark.parametrize(
    "query", ["q=%00", "q=" + "x" * 5000, "stands=nonsense", "page=-3", "page=x", "sort=nonsense"]
)
def test_the_list_bears_any_query(client_for, query):
    make_shop()
    assert client_for().get(reverse("shops") + "?" + query).status_code == 200


def test_the_list_asks_the_same_with_one_and_with_thirty_shops(client_for, django_assert_num_queries):
    client = client_for()
    for rows in (1, 29):
        for _ in range(rows):
            make_order(make_shop(on_stop=True, stop_reason="x"))
        with django_assert_num_queries(6):
            client.get(reverse("shops"))


def test_the_page_asks_the_same_with_one_and_with_thirty_of_each(client_for, django_assert_num_queries):
    shop, client = make_shop(), client_for()
    for rows in (1, 29):
        for n in range(rows):
            make_sent(make_order(shop))
            make_address(shop, usual=False, label=f"A{rows}{n}")
            save_contact(
                shop=shop, version=Shop.objects.get().version, fields={"name": f"C{rows}{n}"}, by=client.person
            )
        with django_assert_num_queries(15):
            client.get(shop.get_absolute_url())


def test_the_page_tells_all_and_keeps_money_from_the_packer(client_for):
    shop = make_shop(name="The Lamp Room", packer_notes="Rear door.", credit_limit=Decimal("500"))
    order = make_order(shop, reference="XM-1")
    url = shop.get_absolute_url()
    page = client_for("bookkeeper").get(url).content.decode()
    for said in (
        "has 1 open order and owes nothing",
        "Rear door.",
        "4 Tanner Row",
        "XM-1",
        "500.00",
        "which counts against the limit",
    ):
        assert said.lower() in page.lower()
    assert order.get_absolute_url() in page
    page = client_for("packer").get(url).content.decode()
    assert "Credit limit" not in page
    assert "Change the terms" not in page
    assert client_for("dipper").get(url).status_code == 403
    assert client_for("packer").get(reverse("shop", args=[10**12])).status_code == 404


def test_a_new_shop_from_the_form(client_for):
    client = client_for()
    answer = client.post(reverse("shop_new"), typed(vat_number="GB 999 9999 73"))
    shop = Shop.objects.get()
    assert answer.url == reverse("address_new", args=[shop.pk])
    assert (shop.rank, shop.carriage, shop.vat_number) == (3, Decimal("8.50"), "GB999999973")
    again = client.post(reverse("shop_new"), typed())
    assert again.status_code == 422
    assert "already exists" in again.content.decode()
    assert Shop.objects.count() == 1


BAD = [
    ({"name": ""}, "name"),
    ({"name": "x" * 81}, "name"),
    ({"name": "A\x00B"}, "name"),
    ({"town": ""}, "town"),
    ({"rank": "0"}, "rank"),
    ({"rank": "9999999999"}, "rank"),
    ({"discount": "-1"}, "discount"),
    ({"discount": "twelve"}, "discount"),
    ({"discount": "NaN"}, "discount"),
    ({"terms_days": "-1"}, "terms_days"),
    ({"terms_days": "1000000000"}, "terms_days"),
    ({"carriage": "1e9"}, "carriage"),
    ({"carriage_free_above": "-5"}, "carriage_free_above"),
    ({"credit_limit": "99999999999"}, "credit_limit"),
    ({"other_colour": "perhaps"}, "other_colour"),
    ({"vat_number": "GB123"}, "vat_number"),
    ({"on_stop": "on"}, "stop_reason"),
    ({"packer_notes": "x" * 301}, "packer_notes"),
]


@pytest.mark.parametrize(("wrong", "field"), BAD)
def test_bad_input_is_refused_at_its_field_and_kept(client_for, wrong, field):
    answer = client_for().post(reverse("shop_new"), typed(**wrong))
    assert answer.status_code == 422
    form = answer.context["form"]
    assert list(form.errors) == [field]
    assert form["packer_notes"].value() == wrong.get("packer_notes", "Rear door.")
    assert not Shop.objects.exists()


def test_somebody_quicker_is_shown_and_nothing_typed_is_lost(client_for, owner):
    shop = make_shop(name="The Lamp Room", town="Wexcombe")
    url = reverse("shop_edit", args=[shop.pk])
    change_shop(shop=shop, version=1, fields={"rank": 7}, by=owner)
    client = client_for()
    answer = client.post(url, typed(version="1", rank="2"))
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "in the book: 7" in page
    assert "yours: 2" in page
    assert answer.context["form"]["version"].value() == 2
    assert client.post(url, typed(version="2", rank="2")).url == shop.get_absolute_url()
    assert Shop.objects.get().rank == 2


def test_the_bookkeepers_form_holds_the_money_fields_only(client_for):
    shop = make_shop(discount=Decimal("5"))
    url = reverse("shop_edit", args=[shop.pk])
    client = client_for("bookkeeper")
    assert b'name="discount"' not in client.get(url).content
    money = {"version": "1", "terms_days": "14", "discount": "90", "credit_limit": "", "stop_reason": ""}
    money |= {"prompt_percent": "2.5", "prompt_days": "10"}
    assert client.post(url, money).status_code == 302
    shop.refresh_from_db()
    assert (shop.terms_days, shop.discount) == (14, 5)


@pytest.mark.parametrize("version", [None, "", "x", "-1", "0", "99999999999"])
def test_a_form_without_a_sound_version_is_refused(client_for, version):
    shop = make_shop()
    answer = client_for().post(reverse("shop_edit", args=[shop.pk]), typed(version=version))
    assert answer.status_code == 422
    assert Shop.objects.get().version == 1


def test_an_address_from_the_form(client_for):
    shop = make_shop()
    client, url = client_for(), reverse("address_new", args=[shop.pk])
    sent = {**ADDRESS, "country": "ie", "usual": "on", "version": "1"}
    assert client.post(url, sent).url == shop.get_absolute_url()
    assert Address.objects.get(usual=True).country == "IE"
    again = client.post(url, sent)
    assert again.status_code == 422
    assert shop.addresses.count() == 2
    for wrong in ({"country": "G1"}, {"lines": ""}, {"lines": "x" * 301}, {"kind": "other"}, {"town": "\x00"}):
        answer = client.post(url, {**sent, "version": "2", **wrong})
        assert list(answer.context["form"].errors) == list(wrong)


def test_a_contact_is_added_changed_and_removed(client_for):
    shop, client = make_shop(), client_for("bookkeeper")
    fields = {"name": "Ada Quill", "does": "orders", "email": "ada@lamproom.example", "telephone": "01632 960123"}
    assert client.post(reverse("contact_new", args=[shop.pk]), {**fields, "version": "1"}).status_code == 302
    contact = Contact.objects.get()
    url = reverse("contact_edit", args=[shop.pk, contact.pk])
    assert client.post(url, {**fields, "email": "no", "version": "2"}).status_code == 422
    assert client.post(url, {**fields, "does": "invoices", "version": "2"}).status_code == 302
    assert Contact.objects.get().does == "invoices"
    remove = reverse("contact_remove", args=[shop.pk, contact.pk])
    assert client.get(remove).status_code == 405
    client.post(remove, {"version": "2"})
    assert Contact.objects.exists(), "a stale page removes nothing"
    client.post(remove, {"version": "3"})
    assert not Contact.objects.exists()
    assert client.post(remove, {"version": "4"}).status_code == 404
    whats = Record.objects.filter(subject="shop").order_by("pk").values_list("what", flat=True)
    assert list(whats) == ["Added contact: Ada Quill", "Changed contact: Ada Quill", "Removed contact: Ada Quill"]


def test_an_address_of_another_shop_is_not_found(client_for):
    mine, other = make_shop(), make_shop()
    url = reverse("address_edit", args=[mine.pk, other.addresses.get().pk])
    assert client_for().post(url, {**ADDRESS, "version": "1"}).status_code == 404


def test_an_address_is_removed_from_its_page(client_for):
    shop, client = make_shop(), client_for()
    spare = make_address(shop, usual=False, label="Spare")
    url = reverse("address_remove", args=[shop.pk, spare.pk])
    assert client.get(url).status_code == 405
    client.post(url, {"version": "1"})
    assert spare not in shop.addresses.all()


@pytest.mark.parametrize("name", ["shop_new", "address_new", "contact_new", "shop_edit"])
def test_the_packer_reads_and_does_not_write(client_for, name):
    shop = make_shop()
    url = reverse(name, args=[] if name == "shop_new" else [shop.pk])
    client = client_for("packer")
    assert client.get(url).status_code == 403
    assert client.post(url, typed(version="1")).status_code == 403
    assert client_for().put(url).status_code == 405
