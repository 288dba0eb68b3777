"""A shop's own view of one order: what it shows, what it never shows, and how it ends."""

from datetime import date, timedelta

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.urls import reverse
from django.utils import timezone

from inventory.models import Record
from orders.domain.acknowledging import acknowledge_order
from orders.domain.post import LINK
from orders.domain.shop_links import LinkEnded, address_of, link_for, read_link, token_of, withdraw_links
from orders.models import Letter, Order, PromisedDate, ShopLink
from orders.queries.shop_links import OwnDays, OwnLine, own_sentence
from tests.factories import make_candle, make_lot, make_order, make_person, make_shop, make_workshop
from tests.factories.season import make_season

pytestmark = pytest.mark.django_db
PUBLIC = "https://book.example"


@pytest.fixture
def order():
    make_workshop()
    candle = make_candle(name="Ivory taper 250 x 22")
    make_lot(candle, 60)
    order = make_order(make_shop(name="The Lamp Room"), [(candle, 30)], reference="XM-7")
    PromisedDate.objects.create(
        order=order, day=timezone.localdate() + timedelta(days=9), made_at=timezone.now(), made_by=make_person()
    )
    return order


def own(link: ShopLink) -> str:
    return reverse("own_view", args=[token_of(link)])


def test_token_is_not_kept_and_cannot_be_read_from_the_table(order):
    link = link_for(order=order, by=make_person())
    token = token_of(link)
    assert len(token) == 43
    kept = str(ShopLink.objects.values().get())
    assert token not in kept
    assert read_link(token) == link


def test_page_shows_how_the_order_stands_to_a_stranger(client, order):
    page = client.get(own(link_for(order=order, by=make_person())))
    assert page.status_code == 200
    text = page.content.decode()
    assert f"None of the 30 pairs of order {order.number} has left yet; we promised by" in text
    assert "Ivory taper 250 x 22" in text
    assert "XM-7" in text
    assert "lot" not in text.lower().replace("lots", "lot").split("<main")[1].split("</main")[0].replace("slot", "")
    assert page["Referrer-Policy"] == "no-referrer"
    assert "noindex" in page["X-Robots-Tag"]
    assert page["Cache-Control"] == "no-store"
    assert "sessionid" not in page.cookies


def test_sentence_follows_the_order():
    order = Order(number=2007, status="confirmed")
    monday, friday = date(2026, 11, 30), date(2026, 12, 4)

    def said(pairs, packed, sent, **days):
        return own_sentence(order, [OwnLine(None, pairs, packed, sent)], OwnDays(**days))

    assert said(30, 0, 0) == "None of the 30 pairs of order 2007 has left yet; no day is promised yet."
    assert said(30, 6, 12, promised=friday, van=monday) == (
        "12 of 30 pairs of order 2007 have left; the rest is to come, we promised by 4 December 2026."
    )
    assert said(30, 30, 0, van=monday) == "All 30 pairs of order 2007 are packed, for our van of 30 November 2026."
    assert said(30, 18, 12, van=monday).startswith("The other 18 pairs of order 2007 are packed")
    assert said(30, 0, 30, left=monday).endswith("the last left us on 30 November 2026.")
    order.status = "cancelled"
    assert said(30, 0, 0) == "Order 2007 was called off."


def test_papers_of_this_order_open_and_no_others(client):
    season = make_season()
    link = link_for(order=season.waiting.order, by=season.by)
    own_note, other = season.waiting.note, season.invoice.paper
    opened = client.get(reverse("own_paper", args=[token_of(link), own_note.pk]))
    assert opened["Content-Type"] == "application/pdf"
    assert opened["Referrer-Policy"] == "no-referrer"
    assert client.get(reverse("own_paper", args=[token_of(link), other.pk])).status_code == 404


@pytest.mark.parametrize("spoil", [lambda t: t[:-1] + ("A" if t[-1] != "A" else "B"), lambda t: t[:-1], lambda t: "x"])
def test_tampered_link_is_no_page(client, order, spoil):
    token = token_of(link_for(order=order, by=make_person()))
    assert client.get(reverse("own_view", args=[spoil(token)])).status_code == 404


def test_link_of_one_order_shows_no_other(client, order):
    other = make_order(make_shop(), [(make_candle(name="Moss dinner"), 12)])
    link_for(order=other, by=make_person())
    text = client.get(own(link_for(order=order, by=make_person()))).content.decode()
    assert "Moss dinner" not in text
    assert str(other.number) not in text.replace(str(order.number), "")


def test_link_ends_after_ninety_days(client, order):
    link = link_for(order=order, by=make_person())
    assert link.ends_at - link.made_at == timedelta(days=90)
    assert read_link(token_of(link), now=link.ends_at - timedelta(seconds=1)) == link
    with pytest.raises(LinkEnded):
        read_link(token_of(link), now=link.ends_at)
    ShopLink.objects.update(ends_at=timezone.now())
    page = client.get(own(link))
    assert page.status_code == 410
    assert "This link has ended" in page.content.decode()
    assert "Ivory taper" not in page.content.decode()


def test_withdrawn_link_opens_nothing_and_a_new_one_is_another(client, client_for, order):
    link = link_for(order=order, by=make_person())
    client_for("packer").post(reverse("shop_link_withdraw", args=[order.number]))
    assert client.get(own(link)).status_code == 410
    assert token_of(link_for(order=order, by=make_person())) != token_of(link)
    assert Record.objects.filter(subject="order", subject_id=order.pk, what__contains="withdrawn").count() == 1
    assert withdraw_links(order=order, by=make_person()) == 1
    assert withdraw_links(order=order, by=make_person()) == 0


def test_asked_twice_it_is_one_link(client_for, order):
    packer = client_for("packer")
    for _ in range(2):
        packer.post(reverse("shop_link_make", args=[order.number]))
    assert ShopLink.objects.count() == 1


def test_link_near_its_end_or_of_another_key_is_not_used_again(settings, order):
    first = link_for(order=order, by=make_person())
    ShopLink.objects.update(ends_at=timezone.now() + timedelta(days=29))
    second = link_for(order=order, by=make_person())
    assert second != first
    settings.SECRET_KEY = "another key altogether, for this test"
    assert link_for(order=order, by=make_person()) not in (first, second)


def test_draft_has_no_link():
    with pytest.raises(ValidationError, match="is a draft"):
        link_for(order=make_order(make_shop(), [], status="draft"), by=make_person())


def test_acknowledgement_carries_the_link_and_keeps_it_out_of_the_book(
    settings, order, django_capture_on_commit_callbacks
):
    settings.PUBLIC_ADDRESS = PUBLIC
    with django_capture_on_commit_callbacks(execute=True):
        acknowledge_order(order=order, to="orders@lamp.example", by=make_person())
    link, letter = ShopLink.objects.get(), Letter.objects.get()
    assert address_of(link).startswith(f"{PUBLIC}/own/")
    assert address_of(link) in mail.outbox[0].body
    assert token_of(link) not in letter.body
    assert LINK in letter.body


def test_without_an_address_letters_carry_no_link(order, django_capture_on_commit_callbacks):
    with django_capture_on_commit_callbacks(execute=True):
        acknowledge_order(order=order, to="orders@lamp.example", by=make_person())
    assert not ShopLink.objects.exists()
    assert "/own/" not in mail.outbox[0].body


def test_order_page_shows_the_link_and_what_is_missing(settings, client_for, order):
    link = link_for(order=order, by=make_person())
    page = reverse("order", args=[order.number])
    assert "set WICKTURN_PUBLIC_ADDRESS" in client_for("packer").get(page).content.decode()
    settings.PUBLIC_ADDRESS = PUBLIC
    assert address_of(link) in client_for("packer").get(page).content.decode()
    assert Order.objects.get().shop_links.get() == link
