"""The pages of order forms: made, sent, fetched, read back; each up its ladder."""

import uuid

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from inventory.models import Candle
from orders.models import Contact, FormBack, Letter, Order, OrderForm
from orders.queries.order_forms import usual_stretch
from tests.factories import make_candle, make_order, make_shop, make_van_days, make_workshop
from tests.factories.order_forms import filled, make_back, make_form
from tests.orders.order_pages import text

pytestmark = pytest.mark.django_db
LIST = "/order-forms/"


@pytest.fixture
def packer(client_for):
    return client_for("packer")


@pytest.fixture
def shop():
    make_workshop()
    make_van_days(1, 3)
    make_candle(code="IV250", name="Ivory taper 250 x 22")
    shop = make_shop(name="The Lamp Room", town="Wexcombe")
    Contact.objects.create(shop=shop, name="Ann", does="ordering", email="ann@lamproom.example")
    return shop


def upload(data: bytes, name: str = "order.xlsx", **fields) -> dict:
    return {"file": SimpleUploadedFile(name, data), **fields}


def make_page(shop) -> str:
    return reverse("order_form_new", args=[shop.pk])


def typed(**changes) -> dict:
    first, last = usual_stretch(timezone.localdate())
    values = {"first_day": first.isoformat(), "last_day": last.isoformat(), "note": "", "submission": uuid.uuid4()}
    return {**values, **changes}


def test_a_form_is_made_on_the_shops_page_once(packer, shop):
    assert make_page(shop) in text(packer.get(shop.get_absolute_url()))
    page = text(packer.get(make_page(shop)))
    assert "The Lamp Room, Wexcombe ordered nothing a year ago: which days is its order form for?" in page
    sent = typed(note="Orders by Friday.")
    answers = [packer.post(make_page(shop), sent) for _ in range(2)]
    form = OrderForm.objects.get()
    assert [answer.url for answer in answers] == [form.get_absolute_url()] * 2
    assert "OF-101 for The Lamp Room, Wexcombe: 1 candle at its prices; it waits to be sent." in text(
        packer.get(form.get_absolute_url())
    )


def test_a_form_for_no_days_is_refused_and_keeps_what_was_typed(packer, shop):
    answer = packer.post(make_page(shop), typed(last_day="2020-01-01", note="Orders by Friday."))
    page = text(answer)
    assert answer.status_code == 422
    assert "Not before" in page
    assert "Orders by Friday." in page
    assert OrderForm.objects.count() == 0


def test_it_is_sent_from_its_page_and_fetched(packer, shop):
    form = make_form(shop, by=packer.person)
    page = text(packer.get(form.get_absolute_url()))
    assert 'value="ann@lamproom.example"' in page
    answer = packer.post(form.get_absolute_url(), {"to": "nobody", "message": "Here it is"})
    assert (answer.status_code, Letter.objects.count()) == (422, 0)
    assert "Here it is" in text(answer)
    for _ in range(2):
        packer.post(form.get_absolute_url(), {"to": "ann@lamproom.example", "message": "Here it is"})
    letter = Letter.objects.get()
    assert "it was sent" in text(packer.get(form.get_absolute_url()))
    assert form.file.get_absolute_url() in text(packer.get(letter.get_absolute_url()))
    file = packer.get(form.file.get_absolute_url())
    assert file.content == bytes(form.file.content)
    assert file["Content-Disposition"].startswith("attachment;")


def test_what_came_back_becomes_a_draft_that_says_what_is_doubtful(packer, shop):
    form = make_form(shop, by=packer.person)
    data = filled(form, {"IV250": 24}, lambda sheet: sheet.add(code="IV25O", pairs=6))
    answer = packer.post(LIST, upload(data), follow=True)
    order = Order.objects.get()
    page = text(answer)
    assert answer.redirect_chain[-1][0] == order.get_absolute_url()
    assert "1 row read, 24 pairs; 1 row to look at. Look it over, then take the order." in page
    assert "They chose no day" in page
    assert "It came as: “Row " in page
    back = FormBack.objects.get()
    assert f"{form} of The Lamp Room, Wexcombe was read: 1 row understood, 1 to look at." in text(
        packer.get(back.get_absolute_url())
    )
    again = packer.post(LIST, upload(data), follow=True)
    assert f"it is order {order.number}, draft" in text(again)
    assert Order.objects.count() == 1


def test_a_shop_asked_for_is_chosen_beforehand(packer, shop):
    assert f'value="{shop.pk}" selected' in text(packer.get(LIST, {"shop": shop.pk}))
    for asked in ("x", "99999999999", "-1", "0", "%00"):
        assert packer.get(LIST, {"shop": asked}).status_code == 200


@pytest.mark.parametrize(
    ("sent", "said"),
    [
        ({}, "Choose the file the shop sent."),
        (upload(b""), "is empty"),
        (upload(b"a,b\n1,2\n"), "No order form"),
        (upload(b"x", shop="999"), "Select a valid choice"),
        (upload(b"Code,Pairs wanted\nIV250,24\n", "order.csv"), "say whose order it is"),
    ],
)
def test_what_is_no_form_is_refused_beside_the_field(packer, shop, sent, said):
    answer = packer.post(LIST, sent)
    assert answer.status_code == 422
    assert said in text(answer)
    assert Order.objects.count() == 0


def test_a_strangers_file_is_only_ever_a_download(packer, shop):
    data = b"Code,Pairs wanted,<script>alert(1)</script>\nIV250,24,x\n"
    packer.post(LIST, upload(data, "<b>order.html", shop=shop.pk))
    back = FormBack.objects.get()
    file = packer.get(back.file.get_absolute_url())
    assert (file.content, file["Content-Type"]) == (data, "text/csv")
    assert file["Content-Disposition"].startswith("attachment; filename*=UTF-8''%3Cb%3Eorder.html")
    assert file["X-Content-Type-Options"] == "nosniff"
    assert "<script>alert(1)" not in text(packer.get(back.get_absolute_url()))
    assert "<script>alert(1)" not in text(packer.get(back.order.get_absolute_url()))


def test_a_dipper_sees_none_of_it(client_for, shop):
    form = make_form(shop)
    back = make_back(form, {"IV250": 24})
    dipper = client_for("dipper")
    for address in (LIST, make_page(shop), *(row.get_absolute_url() for row in (form, back, form.file, back.file))):
        assert dipper.get(address).status_code == 403
        assert dipper.post(address, {}).status_code in (403, 405)


def test_pages_that_are_read_refuse_to_be_written(packer, shop):
    back = make_back(make_form(shop), {"IV250": 24})
    for row in (back, back.file):
        assert packer.post(row.get_absolute_url(), {}).status_code == 405
    for row in (LIST, make_page(shop), back.form.get_absolute_url()):
        assert packer.delete(row).status_code == 405


def another(back: FormBack) -> None:
    """One more form come back, as rows alone."""
    form = OrderForm.objects.select_related("file").get(pk=back.form_id)
    for row in (form.file, back.file):
        row.pk = None
        row.save(force_insert=True)
    form.pk, form.number, form.submission, form.file_id = None, form.number + 1, uuid.uuid4(), form.file.pk
    form.save(force_insert=True)
    back.pk, back.form_id, back.file_id = None, form.pk, back.file.pk
    back.order = make_order(form.shop, [(Candle.objects.get(), 24)], by=back.read_by, status="draft")
    back.save(force_insert=True)


def test_thirty_forms_ask_no_more_than_one(packer, shop):
    back = make_back(make_form(shop), {"IV250": 24})
    asked = []
    for more in (0, 29):
        for _ in range(more):
            another(back)
        with CaptureQueriesContext(connection) as queries:
            page = text(packer.get(LIST))
        asked.append(len(queries))
        assert f"{more + 1} order forms are made" in page or not more
        assert page.count("OF-1") == more + 1
    assert asked[0] == asked[1] <= 12, asked
