"""A delivery's page and its papers on screen: from the bench to the van, refused forms, void papers."""

from datetime import timedelta

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from orders.domain import papers
from orders.domain.boxing import boxes_of
from orders.domain.invoicing import issue_invoice
from orders.domain.packing import start_packing, unpack
from orders.models import BoxKind, Delivery
from tests.factories import make_person, make_shop
from tests.factories.bench import make_left, make_packed, make_ready_order
from tests.orders.deliveries import act, page, today

pytestmark = pytest.mark.django_db


# One delivery, from first to last


def test_from_the_bench_to_the_van(packer):
    order = make_ready_order(packer.person, lines=(30,))
    answer = act(packer, "start_packing", order.number, van_day=today().isoformat())
    delivery = Delivery.objects.get()
    assert answer.headers["Location"] == delivery.get_absolute_url()
    assert "30 pairs in 2 boxes, the fewest possible." in page(packer, "delivery", delivery.pk)
    content = boxes_of(delivery)[0].contents.all()[0]
    moved = act(packer, "box_move", delivery.pk, version=1, content=content.pk, pairs=4, to=2)
    assert moved.status_code == 302
    assert act(packer, "close_boxes", delivery.pk, version=2).status_code == 302
    html = page(packer, "delivery", delivery.pk)
    assert "DN-1001 for" in html
    assert "is packed and waits for the van today: 2 boxes, " in html
    assert act(packer, "van_left", delivery.pk, version=3, on=today().isoformat()).status_code == 302
    html = page(packer, "delivery", delivery.pk)
    assert "left today: 30 pairs in 2 boxes" in html
    assert '<form method="post" action="/deliveries' not in html


def test_a_new_box_is_chosen_by_kind(packer):
    delivery = start_packing(order=make_ready_order(packer.person, lines=(10,)), by=packer.person)
    box = boxes_of(delivery)[0]
    answer = act(
        packer, "box_move", delivery.pk, version=1, content=box.contents.all()[0].pk, pairs=4, to=f"new{box.kind_id}"
    )
    assert answer.status_code == 302
    assert [sum(c.pairs for c in box.contents.all()) for box in boxes_of(delivery)] == [6, 4]


def test_the_move_link_chooses_the_pairs(packer):
    delivery = start_packing(order=make_ready_order(packer.person, lines=(30,)), by=packer.person)
    content = boxes_of(delivery)[1].contents.all()[0]
    assert f'<option value="{content.pk}" selected>' in page(
        packer, "delivery", delivery.pk, query=f"?move={content.pk}"
    )
    for wild in ("x", "0", "99999999999999999999", "%00"):
        page(packer, "delivery", delivery.pk, query=f"?move={wild}")


def test_a_heavy_box_brings_the_caution(packer):
    order = make_ready_order(packer.person, lines=(24,))
    candle = order.lines.get().candle
    candle.base_mm = candle.tip_mm = 60
    candle.save()
    BoxKind.objects.update(limit_g=25_000)
    delivery = start_packing(order=order, by=packer.person)
    html = page(packer, "delivery", delivery.pk)
    assert "manual-handling guidance" in html
    assert "The rules of your own place come first" in html


def test_unpacked_it_stands_as_cancelled_on_every_page(packer):
    delivery = make_packed(packer.person)
    answer = act(packer, "unpack", delivery.pk, version=2, reason="wrong candles")
    assert answer.status_code == 302
    html = page(packer, "delivery", delivery.pk)
    assert "CANCELLED: DN-1001 and its slips are void" in html
    assert "wrong candles" in html
    listed = page(packer, "papers_of", delivery.order.number)
    assert listed.count("CANCELLED") == 3
    assert "has 3 papers, 3 of them void." in listed


# Refused


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("close_boxes", {"version": 1}, "Somebody changed this"),
        ("close_boxes", {}, "required"),
        ("close_boxes", {"version": "x"}, "whole number"),
        ("unpack", {"version": 1}, "Somebody changed this"),
        ("unpack", {"version": 2, "reason": "x" * 201}, "at most 200"),
        ("unpack", {"version": 2, "reason": "a\0b"}, "Null characters"),
        ("box_move", {"version": 2, "pairs": 0}, "greater than or equal to 1"),
        ("box_move", {"version": 2, "pairs": 10**9, "to": 2}, "less than or equal to"),
        ("box_move", {"version": 2, "pairs": 1, "to": 77}, "not one of the available choices"),
        ("box_move", {"version": 2, "pairs": 1, "to": "newx"}, "not one of the available choices"),
        ("box_move", {"version": 2, "pairs": 1, "to": 2, "content": 10**12}, "not one of the available choices"),
        ("box_move", {"version": 1, "pairs": 1, "to": 2}, "Somebody changed this"),
        ("van_left", {"version": 2, "on": "2026-01-01"}, "not closed yet"),
        ("van_left", {"version": 2, "on": ""}, "required"),
        ("van_left", {"version": 2, "on": "soon"}, "valid date"),
    ],
)
def test_what_is_refused_comes_back_with_the_reason_and_changes_nothing(packer, name, data, said):
    delivery = start_packing(order=make_ready_order(packer.person, lines=(30,)), by=packer.person)
    contents = [content.pk for box in boxes_of(delivery) for content in box.contents.all()]
    Delivery.objects.update(version=2)
    if name == "box_move":
        data = {"content": contents[0], **data}
    answer = act(packer, name, delivery.pk, **data)
    assert answer.status_code == 422
    assert said in answer.content.decode()
    delivery.refresh_from_db()
    assert (delivery.state, delivery.version) == ("packing", 2)
    assert [content.pk for box in boxes_of(delivery) for content in box.contents.all()] == contents


def test_a_refused_start_comes_back_on_the_bench_with_the_reason(packer):
    order = make_ready_order(packer.person, shop=make_shop(on_stop=True, stop_reason="overdue"))
    for data, said in (
        ({}, "on stop: overdue"),
        ({"van_day": "soon"}, "Enter a valid date"),
        ({"van_day": "1999-01-01"}, ""),
    ):
        answer = act(packer, "start_packing", order.number, **data)
        assert answer.status_code == 422
        assert said in answer.content.decode()
    assert not Delivery.objects.exists()


def test_the_van_of_a_day_says_what_stays(packer):
    going, staying = make_packed(packer.person), make_packed(packer.person)
    shop = staying.order.shop
    shop.on_stop, shop.stop_reason = True, "overdue"
    shop.save()
    url = reverse("van_day_left", args=[going.van_day.isoformat()])
    assert packer.post(url, {"on": (today() + timedelta(days=1)).isoformat()}).status_code == 422
    html = packer.post(url, {"on": today().isoformat()}, follow=True).content.decode()
    assert "1 delivery left: the stock has moved." in html
    assert f"Stays here. {staying.note.number}" in html
    # The same van again: nothing more to send, and the reason is told again.
    assert packer.post(url, {"on": today().isoformat()}).status_code == 422
    assert packer.post(url, {"on": ""}).status_code == 422
    assert packer.post(reverse("van_day_left", args=["soon"]), {"on": "2026-01-01"}).status_code == 404


# Papers on screen


def test_a_paper_is_shown_in_the_browser_and_not_sent_twice(packer):
    url = make_packed(packer.person).note.get_absolute_url()
    answer = packer.get(url)
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == 'inline; filename="dn-1001.pdf"'
    assert packer.get(url).content == answer.content
    assert packer.get(url, headers={"if-none-match": answer["ETag"]}).status_code == 304


def test_a_void_paper_says_cancelled_before_it_is_shown(packer):
    delivery = make_packed(packer.person)
    before = packer.get(delivery.note.get_absolute_url()).content
    unpack(delivery=delivery, version=2, reason="wrong candles", by=packer.person)
    html = packer.get(delivery.note.get_absolute_url()).content.decode()
    assert "DN-1001 is CANCELLED" in html
    assert "wrong candles" in html
    assert packer.get(delivery.note.get_absolute_url() + "?void=1").content == before


def test_a_paper_that_cannot_be_made_says_so_and_is_tried_again(packer, monkeypatch):
    delivery = make_packed(packer.person)

    def broken(*_):
        raise OSError("no room")

    batch = reverse("day_papers", args=[delivery.van_day.isoformat()])
    with monkeypatch.context() as patch:
        patch.setattr(papers, "render_pdf", broken)
        for url in (delivery.note.get_absolute_url(), batch):
            answer = packer.get(url)
            assert answer.status_code == 503
            assert "its number and content are safe" in answer.content.decode()
    assert packer.get(batch).status_code == 200


def test_the_batch_of_a_day_without_papers_is_not_found(packer):
    for day in ("2026-12-04", "soon", "2026-13-99"):
        assert packer.get(reverse("day_papers", args=[day])).status_code == 404


def test_papers_have_their_readers(client_for, packer):
    delivery = make_packed(packer.person)
    for url in (delivery.note.get_absolute_url(), reverse("papers_of", args=[delivery.order.number])):
        assert client_for("bookkeeper").get(url).status_code == 200
        assert client_for("dipper").get(url).status_code == 403
        assert client_for("packer").post(url).status_code == 405
    assert client_for("packer").get(reverse("paper", args=[10**9])).status_code == 404


def test_invoices_are_not_for_the_packer(packer, client_for):
    delivery = make_left(packer.person)
    made = issue_invoice(shop=delivery.order.shop, delivery_ids=[delivery.pk], issued_on=today(), by=make_person())
    assert packer.get(made.paper.get_absolute_url()).status_code == 403
    assert made.paper.number not in page(packer, "papers_of", delivery.order.number)
    assert made.paper.number in page(client_for("bookkeeper"), "papers_of", delivery.order.number)


def test_the_delivery_asks_as_much_for_thirty_boxes_as_for_one(packer):
    counts = []
    for pairs in (10, 24 * 30):
        delivery = make_packed(packer.person, lines=(pairs,))
        with CaptureQueriesContext(connection) as counted:
            page(packer, "delivery", delivery.pk)
        counts.append(len(counted))
    assert counts[0] == counts[1]
