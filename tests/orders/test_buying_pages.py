"""The pages of what to buy, of remelt and of the wax balance: the ladder of each."""

import uuid
from datetime import timedelta

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.models import MaterialLot, Purchase
from production.models import Remelt
from tests.factories import make_candle, make_colour, make_person, make_wax
from tests.factories.floor import make_frame
from tests.factories.materials import make_blend, make_material_lot, make_purchase, make_supplier

pytestmark = pytest.mark.django_db
PAGES = ("material_needs", "material_needs_csv", "remelt", "wax_balance", "wax_balance_csv", "wax_losses_csv")


def short_of(name="Paraffin", on_hand=1_000, **fields):
    """A wax of which a frame on the floor needs 1,286 g."""
    candle = make_candle(wax=make_wax(), colour=make_colour())
    (wax,) = make_blend(candle.wax)
    supplier = make_supplier(name=f"{name} Wharf", lead_days=4, telephone="01632 960777")
    for field, value in {"name": name, "supplier": supplier, "pack": 25_000, **fields}.items():
        setattr(wax, field, value)
    wax.save()
    make_material_lot(wax, on_hand)
    make_frame(candle, "hanging", hung=10)
    return wax


def sent(*materials, amount="25000", seen="0", **fields):
    figures = {f"amount_{row.pk}": amount for row in materials} | {f"seen_{row.pk}": seen for row in materials}
    keys = " ".join(str(row.pk) for row in materials)
    return {"submission": str(uuid.uuid4()), "order": keys, **figures, **fields}


def text_of(response):
    return response.content.decode()


def test_one_tap_orders_what_the_row_says(client_for):
    client, wax = client_for("owner"), short_of()
    page = text_of(client.get(reverse("material_needs")))
    assert "Order Paraffin today. Paraffin is used up today, 4 days before it can come." in page
    assert f'name="amount_{wax.pk}" value="25000"' in page
    form = sent(wax)
    for _ in range(2):
        answer = client.post(reverse("material_needs_order"), form, follow=True)
        assert "Written down: 25 kg of Paraffin from Paraffin Wharf. Now tell them: 01632 960777." in text_of(answer)
    purchase = Purchase.objects.get()
    assert (purchase.amount, purchase.made_by) == (25_000, client.person)
    assert purchase.due_on == timezone.localdate() + timedelta(days=4)


def test_all_that_cannot_wait_is_ordered_at_once(client_for):
    client, rows = client_for("owner"), [short_of("Paraffin"), short_of("Beeswax")]
    assert "Order the 2 that cannot wait" in text_of(client.get(reverse("material_needs")))
    client.post(reverse("material_needs_order"), sent(*rows))
    assert Purchase.objects.count() == 2


def test_all_or_none_are_ordered(client_for):
    client, rows = client_for("owner"), [short_of("Paraffin"), short_of("Beeswax")]
    make_purchase(rows[1], 25_000, by=make_person(full_name="Ann Wick"))
    answer = client.post(reverse("material_needs_order"), sent(*rows))
    assert answer.status_code == 422
    assert "Beeswax: Ann Wick ordered 25 kg more since this page was made." in text_of(answer)
    assert Purchase.objects.count() == 1


@pytest.mark.parametrize(
    "fields",
    [
        {"order": ""},
        {"order": "x"},
        {"order": "999999"},
        {"order": "1" * 12},
        {"submission": "x"},
        {"amount": "x"},
        {"amount": "-5"},
        {"amount": "9" * 40},
        {"amount": "²"},
        {"amount": "1000"},
        {"seen": ""},
        {"seen": "12"},
    ],
)
def test_a_form_that_cannot_be_orders_nothing(client_for, fields):
    answer = client_for("owner").post(reverse("material_needs_order"), sent(short_of(), **fields))
    assert answer.status_code == 422
    assert "Nothing was changed." in text_of(answer)
    assert not Purchase.objects.exists()


def test_who_may_not_order_sees_the_needs_and_no_button(client_for):
    client, wax = client_for("packer"), short_of()
    page = text_of(client.get(reverse("material_needs")))
    assert "Order Paraffin today." in page
    assert "The owner orders." in page
    assert "<button class" not in page.split("<h1>")[1]
    assert client.post(reverse("material_needs_order"), sent(wax)).status_code == 403
    assert client_for("owner").get(reverse("material_needs_order")).status_code == 405
    assert not Purchase.objects.exists()


def test_what_nobody_sells_has_no_button(client_for):
    wax = short_of(supplier=None)
    page = text_of(client_for("owner").get(reverse("material_needs")))
    assert "Paraffin will not last, and nobody is named who sells it." in page
    assert f"amount_{wax.pk}" not in page


def test_the_file_has_bare_figures_in_the_unit_one_buys_in(client_for):
    make_purchase(short_of(on_hand=1_500, keep=2_000), 500)
    lines = text_of(client_for("packer").get(reverse("material_needs_csv"))).splitlines()
    assert (
        lines[0].lstrip("\ufeff").startswith("Material,Kind,Supplier,In,In hand,Of it in the vats,Always keep,Under")
    )
    assert lines[1].startswith("Paraffin,wax,Paraffin Wharf,kg,1.5,0,2,0.5,1.286,1.286,0,")
    assert lines[1].endswith(",25")


def test_today_says_what_cannot_wait(client_for):
    client = client_for("packer")
    assert "Order today" not in text_of(client.get(reverse("today")))
    short_of()
    assert "Order today: Paraffin (25 kg)" in text_of(client.get(reverse("today")))
    assert "Order today" not in text_of(client_for("bookkeeper").get(reverse("today")))


@pytest.mark.parametrize("page", PAGES)
def test_they_are_no_pages_of_the_bookkeepers(client_for, page):
    client = client_for("bookkeeper")
    assert client.get(reverse(page)).status_code == 403
    assert client.post(reverse(page), {}).status_code in {403, 405}


def test_they_ask_as_often_for_one_row_as_for_thirty(client_for, django_assert_max_num_queries):
    client = client_for("owner")

    def queries(page):
        with django_assert_max_num_queries(70) as asked:
            assert client.get(reverse(page)).status_code == 200
        return len(asked)

    def more(n):
        wax = short_of(f"Wax {n}")
        make_purchase(wax, 25_000)
        weigh(client, candle_of(wax))

    more(0)
    few = {page: queries(page) for page in ("material_needs", "remelt", "wax_balance")}
    for n in range(1, 30):
        more(n)
    assert {page: queries(page) for page in few} == few


def candle_of(wax):
    return wax.blended_in.get().wax.candle_set.get()


def weigh(client, candle, kilograms="1.5", **fields):
    given = {"wax": candle.wax_id, "colour": candle.colour_id, "kilograms": kilograms, "left": "", "note": ""}
    return client.post(reverse("remelt"), {**given, "submission": str(uuid.uuid4()), **fields}, follow=True)


@pytest.mark.parametrize("role", ["packer", "dipper"])
def test_remelt_is_weighed_in_once_however_often_it_is_sent(client_for, role):
    client, candle, submission = client_for(role), make_candle(), str(uuid.uuid4())
    for _ in range(2):
        answer = weigh(client, candle, "2.5", left="0", submission=submission)
        code = MaterialLot.objects.get().code
        assert f"2.5 kg weighed in as {code}: write that on it." in text_of(answer)
    assert (Remelt.objects.get().grams, Remelt.objects.get().person) == (2_500, client.person)


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("kilograms", ""),
        ("kilograms", "0"),
        ("kilograms", "-1"),
        ("kilograms", "501"),
        ("kilograms", "1.2345"),
        ("kilograms", "a bucket"),
        ("kilograms", "\x00"),
        ("left", "-1"),
        ("left", "501"),
        ("left", "some"),
        ("note", "x" * 201),
        ("wax", "99999"),
        ("colour", "x"),
        ("submission", "x"),
    ],
)
def test_what_cannot_be_weighed_is_refused_beside_its_field(client_for, field, value):
    answer = weigh(client_for("dipper"), make_candle(), **{"note": "kept", field: value})
    assert answer.status_code == 422
    assert answer.context["form"][field].errors
    assert field == "note" or 'value="kept"' in text_of(answer)
    assert not Remelt.objects.exists()


def test_the_link_of_a_row_fills_wax_and_colour_in(client_for):
    candle = make_candle()
    address = f"{reverse('remelt')}?wax={candle.wax_id}&colour={candle.colour_id}"
    form = client_for("dipper").get(address).context["form"]
    assert (form["wax"].value(), form["colour"].value()) == (str(candle.wax_id), str(candle.colour_id))
    assert client_for("dipper").get(f"{reverse('remelt')}?wax=x&colour=²").status_code == 200


def test_the_balance_takes_days(client_for):
    client = client_for("dipper")
    page = client.get(reverse("wax_balance"), {"first": "2026-11-02", "last": "2026-11-08"})
    assert "No wax was drawn from 2 November 2026 to 8 November 2026." in text_of(page)


@pytest.mark.parametrize(
    ("first", "last"), [("2026-11-08", "2026-11-02"), ("2020-01-01", "2026-11-02"), ("x", "2026-11-02"), ("", "")]
)
def test_days_that_cannot_be_are_told_beside_their_field(client_for, first, last):
    client = client_for("dipper")
    for page, status in (("wax_balance", 422), ("wax_balance_csv", 200), ("wax_losses_csv", 200)):
        answer = client.get(reverse(page), {"first": first, "last": last})
        assert answer.status_code == status
    assert client.get(reverse("wax_balance"), {"first": first, "last": last}).context["form"].errors
