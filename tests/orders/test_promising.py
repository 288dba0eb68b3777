"""Days promised to shops: what they rest on, what the book says against them, the paper and the letter."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, connection, transaction
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from inventory.domain.versions import StaleVersion
from inventory.models import Record
from orders.audit import promised as audit
from orders.domain.acknowledging import acknowledge_order
from orders.domain.papers import paper_pdf
from orders.domain.promising import promise_date, warning
from orders.domain.setting_aside import set_aside_order
from orders.models import Letter, Paper, PromisedDate
from orders.queries.book import entries
from orders.queries.ready_by import ready_by_order
from orders.ready_words import NO_PLAN
from production.models import Want
from tests.factories import make_candle, make_lot, make_order, make_person, make_shop
from tests.orders.grading import hang, wanted
from tests.orders.order_pages import now, text

pytestmark = pytest.mark.django_db
TODAY = timezone.localdate()
SOON, LATER = TODAY + timedelta(days=5), TODAY + timedelta(days=12)


@pytest.fixture
def candle():
    return make_candle(code="IV250")


@pytest.fixture
def ready(candle):
    """An order wholly set aside."""
    make_lot(candle, 24)
    order = wanted((candle, 24), ship_by=SOON, shop=make_shop(name="Ossel Gifts"))
    set_aside_order(order=order, by=make_person())
    return now(order)


@pytest.fixture
def short(candle):
    """An order nothing fills."""
    return now(wanted((candle, 24), ship_by=SOON, shop=make_shop(name="Ossel Gifts")))


def test_a_day_is_promised_with_what_it_rests_on(ready):
    owner = make_person()
    row = promise_date(order=ready, day=LATER, version=ready.version, by=owner)
    assert (row.earliest, row.chance, warning(row)) == (TODAY, 1, "")
    assert [(part["stock"], part["plan"], part["ready"]) for part in row.rested_on] == [(24, 0, TODAY.isoformat())]
    assert now(ready).ship_by == LATER
    assert Record.objects.filter(subject="order", what__startswith=f"Promised by {LATER.day} ").exists()


def test_the_wants_follow_the_promise(short):
    promise_date(order=short, day=LATER, by=make_person())
    assert Want.objects.get().wanted_by == LATER


def test_without_a_plan_the_book_says_so_and_the_promise_stands(short):
    row = promise_date(order=short, day=SOON, by=make_person())
    assert row.earliest is None
    assert warning(row) == f"The book itself can promise no day: {NO_PLAN}."


def test_a_day_before_the_books_own_is_taken_and_the_book_keeps_what_it_said(candle):
    order = wanted((candle, 45), ship_by=LATER)
    hang(candle, {order: 45}, hard_at=timezone.now() + timedelta(days=9))
    row = promise_date(order=now(order), day=SOON, by=make_person())
    assert row.earliest > SOON
    assert "before the book's own day" in warning(row)
    assert 0 < row.chance < 1
    assert Record.objects.filter(what__contains="before the book's own day").exists()


def test_the_same_day_again_is_no_new_promise_and_another_is(ready):
    owner = make_person()
    first = promise_date(order=ready, day=LATER, version=ready.version, by=owner)
    assert promise_date(order=ready, day=LATER, version=ready.version, by=owner) == first
    with pytest.raises(StaleVersion):
        promise_date(order=ready, day=SOON, version=ready.version, by=owner)
    second = promise_date(order=ready, day=SOON, version=now(ready).version, by=owner)
    assert list(PromisedDate.objects.all()) == [second, first]


@pytest.mark.parametrize("day", [TODAY - timedelta(days=1), date(2999, 1, 1)])
def test_a_day_nobody_can_promise_is_refused(ready, day):
    with pytest.raises(ValidationError):
        promise_date(order=ready, day=day, by=make_person())
    assert not PromisedDate.objects.exists()


@pytest.mark.parametrize("status", ["draft", "done", "cancelled"])
def test_only_confirmed_orders_are_promised(status):
    order = make_order(status=status)
    with pytest.raises(ValidationError, match="confirmed orders only"):
        promise_date(order=order, day=LATER, by=make_person())


@pytest.mark.parametrize("change", [lambda row: row.save(), lambda row: row.delete()])
def test_a_promise_never_changes(ready, change):
    row = promise_date(order=ready, day=LATER, by=make_person())
    with pytest.raises(DatabaseError), transaction.atomic():
        change(row)


def test_the_page_asks_for_a_day_and_the_owner_alone_may_give_it(client_for, short):
    url = reverse("order_promise", args=[short.number])
    client = client_for("owner")
    html = text(client.get(url))
    assert "Nobody can say when all of it is ready: no dip plan yet" in html
    sent = {"day": SOON.isoformat(), "version": short.version}
    html = text(client.post(url, sent, follow=True))
    assert f"is promised order {short.number} by {SOON.day} " in html
    assert "The book itself can promise no day" in html
    assert "24 pairs of it are not planned yet" in html
    assert "Promise another day</a>" in html
    for role in ("packer", "bookkeeper", "dipper"):
        other = client_for(role)
        assert {other.get(url).status_code, other.post(url, sent).status_code} == {403}
    assert PromisedDate.objects.count() == 1


@pytest.mark.parametrize("day", ["", "0", "yesterday", "2026-13-45", "\x00", "10" * 50, "2020-01-01"])
def test_a_wrong_day_is_said_beside_the_field(client_for, ready, day):
    url = reverse("order_promise", args=[ready.number])
    answer = client_for("owner").post(url, {"day": day, "version": ready.version})
    assert answer.status_code == 422
    assert "errorlist" in text(answer)
    assert not PromisedDate.objects.exists()


def test_the_book_shows_what_is_promised(client_for, ready):
    promise_date(order=ready, day=LATER, by=make_person())
    assert entries([now(ready)])[ready.pk].promised == LATER
    assert "<small>promised</small>" in text(client_for("packer").get("/orders/"))
    assert LATER.isoformat() in client_for("packer").get("/orders.csv").content.decode()


def test_the_paper_states_what_was_promised_and_is_the_same_when_asked_again(ready):
    owner = make_person()
    with pytest.raises(ValidationError, match="promise one first"):
        acknowledge_order(order=ready, to="", by=owner)
    promise_date(order=ready, day=LATER, by=owner)
    paper = acknowledge_order(order=ready, to="", by=owner)
    assert paper.number == f"OA-{ready.number}/1"
    assert paper.content["promise"] == (
        f"We promise that all 24 pairs will leave us in full by {LATER:%A} {LATER.day} {LATER:%B %Y}."
    )
    assert acknowledge_order(order=ready, to="", by=owner) == paper
    assert paper_pdf(paper).startswith(b"%PDF")
    promise_date(order=ready, day=SOON, by=owner)
    second = acknowledge_order(order=ready, to="", by=owner)
    assert (second.number, second.content["replaces"]) == (f"OA-{ready.number}/2", paper.number)
    assert not list(audit.breaches())


def test_the_letter_carries_the_paper_once(ready, django_capture_on_commit_callbacks):
    owner = make_person()
    promise_date(order=ready, day=LATER, by=owner)
    for to in ("buyer@ossel.example", "Buyer@ossel.example", "buyer@ossel.example, till@ossel.example"):
        paper = acknowledge_order(order=ready, to=to, by=owner)
    letters = Letter.objects.order_by("pk")
    assert [letter.to for letter in letters] == ["buyer@ossel.example", "buyer@ossel.example, till@ossel.example"]
    assert all(list(letter.papers.all()) == [paper] for letter in letters)
    assert paper.content["promise"] in letters[0].body
    with pytest.raises(ValidationError, match="e-mail address"):
        acknowledge_order(order=ready, to="nobody", by=owner)


def test_acknowledging_from_the_page(client_for, ready):
    url = reverse("order_acknowledge", args=[ready.number])
    client = client_for("packer")
    assert "no day is promised yet" in text(client.get(url))
    assert client.post(url, {"to": ""}).status_code == 422
    promise_date(order=ready, day=LATER, by=make_person())
    html = text(client.post(url, {"to": ""}, follow=True))
    assert f"OA-{ready.number}/1" in html
    assert client.post(url, {"to": "no\x00body"}).status_code == 422
    assert client_for("dipper").get(url).status_code == 403
    assert "order acknowledgement" in text(client.get(reverse("papers_of", args=[ready.number])))
    assert Paper.objects.count() == 1


def test_the_audit_sees_a_paper_nobody_promised(ready):
    promise_date(order=ready, day=LATER, by=make_person())
    paper = acknowledge_order(order=ready, to="", by=make_person())
    content = {**paper.content, "promised_iso": SOON.isoformat()}
    Paper.objects.create(
        kind=paper.kind, number=f"OA-{ready.number}/3", shop=paper.shop, content=content, content_sha256="0",
        issued_on=TODAY, issued_at=timezone.now(), issued_by=paper.issued_by,
    )  # fmt: skip
    told = list(audit.breaches())
    assert [line.split(": ")[1].split(" ")[0] for line in told] == ["should", "nobody"]


def test_thirty_lines_are_looked_at_with_no_more_queries_than_one(ready):
    asked = []
    for lines in (1, 30):
        order = wanted(*((make_candle(), 12) for _ in range(lines)), ship_by=SOON, shop=ready.shop)
        with CaptureQueriesContext(connection) as queries:
            ready_by_order(now(order))
        asked.append(len(queries))
    assert asked[0] == asked[1], asked
