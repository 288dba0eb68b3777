"""The seconds list: a paper for each shop that wants it, at its own prices, and one letter a day."""

from datetime import timedelta
from decimal import Decimal
from html import unescape
from io import BytesIO

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from orders.audit import breaches
from orders.domain.seconds_boxes import open_box
from orders.domain.seconds_lists import issue_list, send_lists
from orders.models import Contact, Letter, Paper
from tests.factories import make_person, make_shop
from tests.factories.prices import make_agreed
from tests.factories.seconds import make_age, make_seconds_box, make_three_lots

pytestmark = pytest.mark.django_db


def text_of(response) -> str:
    return " ".join(unescape(response.content.decode()).split())


@pytest.fixture
def by():
    return make_person()


@pytest.fixture
def lots():
    return make_three_lots()


@pytest.fixture
def today():
    return timezone.localdate()


def wanting(email="buy@salt.example", **fields):
    shop = make_shop(wants_seconds_list=True, **fields)
    if email:
        Contact.objects.create(shop=shop, name="Della Finch", does="buying", email=email)
    return shop


def test_each_shop_gets_its_own_prices_and_boxes_are_net(lots, by, today):
    box = make_seconds_box((lots[0], 4), (lots[2], 5), by=by)
    shop = wanting(name="Salt and Ember", discount=10)
    make_agreed(shop, lots[0].candle, price=Decimal("2.00"), takes_discount=True, since=today)
    content = issue_list(shop=shop, for_day=today, by=by).content
    # 4 x 1.00 + 5 x 0.45, less 10 %: 5.625, half a penny up
    assert [(row["code"], row["pairs"], row["price"], row["faults"]) for row in content["boxes"]] == [
        (box.code, 9, "5.63", "5 drip tail, 4 bent")
    ]
    singles = [(row["code"], row["faults"], row["pairs"], row["price"]) for row in content["singles"]]
    assert singles == [("TAP250", "6 ripples, 5 bent", 11, "1.00")]
    assert content["answer"] == "We have seconds to sell: 1 box of 9 pairs and 11 pairs one by one."
    assert "Your discount of 10 %" in content["terms"][1]
    assert content["seconds"] is True


def test_a_list_for_a_later_day_has_that_days_ages(lots, by, today):
    make_age(25, 20)
    later = today + timedelta(days=6)
    now, then = [issue_list(shop=wanting(), for_day=day, by=by).content["singles"] for day in (today, later)]
    # The bent ones are 20 days old.
    tapers = [[(row["faults"], row["price"]) for row in rows if row["code"] == "TAP250"] for rows in (now, then)]
    assert tapers == [[("9 bent, 6 ripples", "1.13")], [("9 bent", "0.90"), ("6 ripples", "1.13")]]


def test_the_same_shelf_is_the_same_paper_and_a_change_is_another(lots, by, today):
    shop = wanting()
    first = issue_list(shop=shop, for_day=today, by=by)
    assert issue_list(shop=shop, for_day=today, by=by) == first
    make_seconds_box((lots[0], 2), by=by)
    assert issue_list(shop=shop, for_day=today, by=by).number == "SL-1002"
    assert first.number == "SL-1001"
    assert list(breaches()) == []


def test_one_sending_reaches_all_that_want_it_once_a_day(lots, by, today):
    near, far, mute = wanting(name="Near"), wanting("far@shop.example", name="Far"), wanting("", name="Mute")
    wanting(name="Owing", on_stop=True, stop_reason="October unpaid")
    make_shop(name="Never asked")
    sent = send_lists(for_day=today, by=by)
    assert [paper.shop for paper in sent.papers] == [far, near]
    assert sent.refused == [
        "Mute: no e-mail address: print the list, or ring.", "Owing: on stop, nothing is offered.",
    ]  # fmt: skip
    letter = Letter.objects.get(shop=near)
    assert letter.to == "buy@salt.example"
    assert [paper.number for paper in letter.papers.all()] == ["SL-1002"]
    assert letter.body.startswith("Dear Near,\n\nWe have seconds to sell: 20 pairs.")
    make_seconds_box((lots[0], 2), by=by)
    again = send_lists(for_day=today, by=by)
    assert (again.papers, again.had) == ([], [far, near])
    assert Letter.objects.count() == 2
    assert not mute.letters.exists()


def test_nothing_on_the_shelf_and_days_out_of_reach_are_refused(by, today, client_for):
    shop, client = wanting(), client_for("packer")
    page = client.post(reverse("seconds_list_paper", args=[shop.pk]), {"day": today.isoformat()}, follow=True)
    assert "Nothing stands on the seconds shelf" in text_of(page)
    for day in ("2020-01-01", "2099-01-01", "soon", ""):
        for name, args in (("seconds_list_send", []), ("seconds_list_paper", [shop.pk])):
            assert client.post(reverse(name, args=args), {"day": day}).status_code == 422
    assert client.get(reverse("seconds_list"), {"day": "2099-01-01"}).status_code == 422
    assert not Paper.objects.exists()


def test_the_page_says_who_has_had_it_and_sends_it(lots, client_for):
    client = client_for("packer")
    wanting(name="Salt and Ember")
    wanting("", name="Mute")
    page = text_of(client.get(reverse("seconds_list")))
    assert "2 shops want the seconds list, 1 can have it now." in page
    assert "no e-mail address: print the list, or ring" in page
    assert "Send it to 1 shop for" in page
    done = text_of(client.post(reverse("seconds_list_send"), {"day": timezone.localdate().isoformat()}, follow=True))
    assert "on the way: SL-1001." in done
    assert "2 shops want the seconds list; 1 had today's." in done
    assert "Send it to" not in done


def test_the_list_is_a_pdf_that_says_seconds(lots, by, client_for, today):
    make_seconds_box((lots[0], 4), (lots[2], 5), by=by)
    shop = wanting()
    paper = client_for("packer").post(
        reverse("seconds_list_paper", args=[shop.pk]), {"day": today.isoformat()}, follow=True
    )
    assert paper["Content-Type"] == "application/pdf"
    printed = " ".join(page.extract_text() for page in PdfReader(BytesIO(paper.content)).pages)
    for words in ("Seconds list SL-1001", "SB-101", "Boxes, sold whole", "ripples", "First come, first served"):
        assert words in printed


def test_thirty_shops_ask_no_more_than_one(lots, client_for, django_assert_num_queries):
    client = client_for("packer")
    wanting()
    with CaptureQueriesContext(connection) as queries:
        client.get(reverse("seconds_list"))
    for _ in range(29):
        wanting()
    with django_assert_num_queries(len(queries)):
        client.get(reverse("seconds_list"))


def test_the_list_is_the_packers(client_for):
    client, dipper = client_for("packer"), client_for("dipper")
    for name, args in (("seconds_list_send", []), ("seconds_list_paper", [wanting().pk])):
        assert client.get(reverse(name, args=args)).status_code == 405
        assert dipper.post(reverse(name, args=args)).status_code == 403
    assert dipper.get(reverse("seconds_list")).status_code == 403


def test_an_opened_box_is_on_no_list(lots, by, today):
    box = make_seconds_box((lots[0], 9), by=by)
    open_box(box=box, version=box.version, by=by)
    assert issue_list(shop=wanting(), for_day=today, by=by).content["boxes"] == []


@pytest.mark.django_db(transaction=True)
def test_the_worker_takes_the_letters_once_they_are_written(lots, by, today, mailoutbox):
    wanting(name="Near"), wanting("far@shop.example", name="Far")
    send_lists(for_day=today, by=by)
    assert {mail.to[0] for mail in mailoutbox} == {"buy@salt.example", "far@shop.example"}
    assert [name for name, _, _ in mailoutbox[0].attachments] == ["SL-1001.pdf"]
    assert set(Letter.objects.values_list("state", flat=True)) == {"sent"}
