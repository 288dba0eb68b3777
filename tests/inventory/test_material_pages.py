"""Pages of materials: each action up the ladder, lists with one and thirty rows."""

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.domain.buying import order_material
from inventory.models import MaterialLot, Purchase
from tests.factories import make_candle, make_colour, make_person, make_wax
from tests.factories.materials import make_blend, make_dye, make_material, make_material_lot, make_supplier

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner(client_for):
    return client_for("owner")


@pytest.fixture
def packer(client_for):
    return client_for("packer")


def text(answer) -> str:
    return answer.content.decode()


def order(material, days=7, **fields) -> Purchase:
    """Under way; with `days` below nought it is overdue."""
    purchase = order_material(
        material=material, supplier=fields.pop("supplier", None) or make_supplier(name="Hexley Mill"), amount=25_000,
        due_on=timezone.localdate() + timedelta(days=max(0, days)), submission=uuid.uuid4(), by=make_person(),
        **fields,
    )  # fmt: skip
    if days < 0:
        due = timezone.localdate() + timedelta(days=days)
        Purchase.objects.filter(pk=purchase.pk).update(due_on=due, ordered_on=due)
    return purchase


def come(**fields) -> dict:
    return {
        "submission": str(uuid.uuid4()), "amount": "25", "came_on": timezone.localdate().isoformat(),
        "supplier_lot": "B-77", "price": "61.50", "note": "", **fields,
    }  # fmt: skip


def test_the_list_says_what_is_there_low_and_overdue(owner, packer):
    stearin = make_material(name="Stearin", keep=60_000)
    make_material_lot(stearin, 12_500, price="32.50")
    order(stearin, days=-2)
    page = text(owner.get(reverse("materials")))
    assert "1 material lies in the stockroom, worth £32.50" in page
    assert "Stearin is below what is always kept" in page
    assert "Stearin of Hexley Mill is overdue" in page
    assert "12.5 kg" in page
    assert "£" not in text(packer.get(reverse("materials")))


def test_the_list_as_a_file_has_bare_figures(owner):
    make_material_lot(make_material(name="=Stearin"), 12_500, price="32.50")
    rows = text(owner.get(reverse("materials_csv"))).splitlines()
    assert rows[0].lstrip("\ufeff").startswith("Material,Kind,Unit,There")
    assert rows[1].startswith("'=Stearin,wax,kg,12.5,0,no")


def test_lists_ask_the_same_of_one_row_and_of_thirty(owner, django_assert_num_queries):
    def more(number):
        for _ in range(number):
            material = make_material()
            make_material_lot(material, 500, supplier=make_supplier())
            order(material, supplier=make_supplier())

    more(1)
    for name in ("materials", "purchases"):
        owner.get(reverse(name))
    counts = {}
    for rows in (0, 29):
        more(rows)
        for name in ("materials", "purchases", "suppliers", "materials_setup"):
            with django_assert_num_queries(counts.get(name, 99), exact=False) as done:
                assert owner.get(reverse(name)).status_code == 200
            counts[name] = len(done)
    assert max(counts.values()) <= 12


def test_a_material_says_what_draws_it_and_what_is_coming(owner):
    wax, colour = make_wax(name="Dipping blend"), make_colour(name="Moss")
    paraffin, _ = make_blend(wax, paraffin=80, stearin=20)
    dye, wick = make_dye(colour, "2.5"), make_material("wick")
    make_candle(wick_of=wick, name="Moss taper")
    order(paraffin)
    page = text(owner.get(paraffin.get_absolute_url()))
    assert "Dipping blend (80 % of it)" in page
    assert "25 kg more are on order, expected on" in page
    assert "Moss (2.5 g to a kg of wax)" in text(owner.get(dye.get_absolute_url()))
    assert "Moss taper" in text(owner.get(wick.get_absolute_url()))


def test_a_delivery_is_taken_in_once_and_refused_beside_what_was_typed(owner, packer):
    wick = make_material("wick", name="Flat 24 ply")
    url = reverse("material_in", args=[wick.pk])
    assert packer.get(url).status_code == 200
    sent = come(amount="250.5")
    assert owner.post(url, sent).status_code == 302
    assert owner.post(url, sent).status_code == 302
    lot = MaterialLot.objects.get()
    assert (lot.on_hand, lot.price, lot.supplier_lot) == (250_500, Decimal("61.50"), "B-77")
    for field, value in (
        ("amount", "0"), ("amount", "1.0005"), ("amount", "many"), ("amount", "1000000"), ("came_on", "2099-01-01"),
        ("price", "-1"), ("supplier_lot", "x" * 41),
    ):  # fmt: skip
        answer = owner.post(url, come(**{field: value}))
        assert answer.status_code == 422
        assert field in answer.context["form"].errors
        assert answer.context["form"][field].value() == value
    assert MaterialLot.objects.count() == 1


def test_a_packer_leaves_the_price_to_the_owner(owner, packer):
    wax = make_material()
    url = reverse("material_in", args=[wax.pk])
    assert "Price" not in text(packer.get(url))
    packer.post(url, come(supplier=make_supplier().pk))
    lot = MaterialLot.objects.get()
    assert lot.price == 0
    assert "no price yet" in text(owner.get(wax.get_absolute_url()))
    priced = reverse("material_lot_price", args=[lot.pk])
    assert packer.post(priced, {"price": "5"}).status_code == 403
    assert owner.get(priced).status_code == 405
    assert owner.post(priced, {"price": "x"}).status_code == 422
    for _ in range(2):
        owner.post(priced, {"price": "48.00"})
    page = text(owner.get(lot.get_absolute_url()))
    assert "£48.00 for all of it" in page
    assert page.count("before £0.00") == 1


def test_a_lot_is_put_right(packer):
    lot = make_material_lot(make_material(), 10_000)
    url, sent = reverse("material_adjust", args=[lot.pk]), {"submission": str(uuid.uuid4()), "reason": "Weighed."}
    assert "The book says 10 kg" in text(packer.get(url))
    for _ in range(2):
        packer.post(url, {**sent, "kind": "recounted", "amount": "9.4", "seen": "10000"})
    assert MaterialLot.objects.get().on_hand == 9_400
    stale = {"submission": str(uuid.uuid4()), "reason": "x", "kind": "recounted", "amount": "9.1", "seen": "10000"}
    answer = packer.post(url, stale)
    assert answer.status_code == 422
    assert "now says 9.4 kg" in text(answer)
    assert 'name="seen" value="9400"' in text(answer)
    assert answer.context["form"]["amount"].value() == "9.1"
    assert "−600 g" in text(packer.get(lot.get_absolute_url()))


def test_ordered_came_in_one_step(owner, packer):
    wax = make_material(name="Stearin", pack=100_000, supplier=make_supplier(name="Port Waxes", lead_days=6))
    url = reverse("purchase_new", args=[wax.pk])
    assert packer.get(url).status_code == 403
    assert "Port Waxes sells 100 kg at least" in text(owner.get(url))
    due = (timezone.localdate() + timedelta(days=6)).isoformat()
    sent = {
        "submission": str(uuid.uuid4()),
        "supplier": wax.supplier_id,
        "amount": "200",
        "due_on": due,
        "price": "520",
    }
    few = owner.post(url, {**sent, "amount": "50"})
    assert (few.status_code, few.context["form"]["amount"].value()) == (422, "50")
    for _ in range(2):
        assert owner.post(url, sent).status_code == 302
    purchase = Purchase.objects.get()
    assert "Stearin of Port Waxes, in 6 days" in text(packer.get(reverse("purchases")))
    page = reverse("purchase", args=[purchase.pk])
    assert packer.post(page, come(version="1", amount="0")).status_code == 422
    assert "520" not in text(packer.get(page))
    packer.post(page, come(version="1", amount="180"))
    lot = MaterialLot.objects.get()
    assert (lot.on_hand, lot.price) == (180_000, Decimal(520))
    assert "came as" in text(owner.get(page))
    again = owner.post(page, come(version="1"))
    assert (again.status_code, MaterialLot.objects.count()) == (422, 1)
    assert "It came already" in text(again)


def test_called_off(owner, packer):
    purchase = order(make_material())
    url = reverse("purchase_call_off", args=[purchase.pk])
    assert packer.post(url, {"version": "1", "reason": "x"}).status_code == 403
    assert owner.get(url).status_code == 405
    assert owner.post(url, {"version": "1", "reason": ""}).status_code == 422
    for _ in range(2):
        owner.post(url, {"version": "1", "reason": "Out of it."})
    assert Purchase.objects.get().state == "called off"
    assert "was called off" in text(owner.get(reverse("purchase", args=[purchase.pk])))
    assert "No material is on order" in text(owner.get(reverse("purchases")))
    assert "called off" in text(owner.get(reverse("purchases") + "?state=called+off"))


def test_today_tells_what_should_have_come(packer, client_for):
    order(make_material(name="Stearin"), days=-2)
    assert "Stearin of Hexley Mill is overdue by 2 days" in text(packer.get(reverse("today")))
    assert "overdue by 2 days" not in text(client_for("bookkeeper").get(reverse("today")))


def test_remelt_is_not_bought(owner):
    own = make_material(remelt_of=make_wax(), remelt_colour=make_colour())
    for name in ("material_in", "purchase_new"):
        assert owner.get(reverse(name, args=[own.pk])).status_code == 404
    assert "Our own wax come back" in text(owner.get(own.get_absolute_url()))
    assert own.name not in text(owner.get(reverse("materials_setup")))
