"""The season's pages: who may see them, what they say, and what comes of their forms."""

import uuid
from datetime import date

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.models import Record
from orders.models import BookedBefore, Order, SeasonFigures
from production.models import PlanSearch, Want
from tests.factories import make_candle, make_shop
from tests.factories.seasons import make_booked_before, make_booking
from tests.factories.trade import make_van_days
from tests.html import Page
from tests.production.plan_floor import make_plan_floor, stand_plan
from tests.production.standing_plan import stop_the_clock

pytestmark = pytest.mark.django_db
READ = ("season", "season_candles", "season_shops", "season_load", "season_last_orders", "season_ahead")
FORMS = ("season_before", "season_figures")
POSTS = ("season_try", "season_ahead_put", "season_before_out")
SHEETS = ("curve", "candles", "shops", "weeks", "last-orders", "last-orders-colours", "ahead")


@pytest.fixture
def owner(client_for):
    return client_for("owner")


@pytest.fixture
def floor(monkeypatch):
    """Early on Monday 30 November 2026, with a plan up to the eve of the last van, and last season to look back at."""
    stop_the_clock(monkeypatch)
    make_van_days(1, 3)
    floor = make_plan_floor()
    stand_plan(floor, days=16)
    shop = make_shop(name="Ossel Gifts")
    shop.contacts.create(name="Della Finch", telephone="01632 960123")
    for day in (date(2025, 11, 20), date(2025, 12, 4)):
        make_booked_before(shop, floor.taper, 900, day, made_by=floor.by)
    make_booking(make_shop(name="The Lamp Room"), floor.taper, 480, date(2026, 11, 20))
    return floor


@pytest.mark.parametrize("role", ["dipper", "packer", "bookkeeper"])
def test_the_season_is_the_owners(client_for, role):
    client = client_for(role)
    for name in (*READ, *FORMS):
        assert client.get(reverse(name)).status_code == 403, name
    for name in POSTS:
        assert client.post(reverse(name)).status_code == 403, name
    assert client.get(reverse("season_csv", args=["curve"])).status_code == 403


def test_what_only_reads_takes_no_post_and_what_acts_no_get(owner):
    for name in READ:
        assert owner.post(reverse(name)).status_code == 405, name
    for name in POSTS:
        assert owner.get(reverse(name)).status_code == 405, name


@pytest.mark.parametrize("name", [*READ, *FORMS])
def test_an_empty_book_is_no_trouble(owner, name):
    page = owner.get(reverse(name))
    assert page.status_code == 200
    assert len(Page(page.content.decode()).one("h1")["text"].strip()) > 20


def test_the_season_says_what_is_booked_and_what_is_to_come(floor, owner):
    page = Page(owner.get(reverse("season")).content.decode())
    headline = page.one("h1")["text"]
    assert headline.startswith("480 pairs are booked for Christmas, 47 % fewer than by this day last year; about 1,")
    assert "Booked up to today480 pairs" in page.one("dl", class_="facts")["text"].replace("\n", "")
    assert "480 up to today, 900 by this day last year, 1,800 in all last year" in page.one("svg", class_="curve")["attrs"]["aria-label"]  # fmt: skip  # noqa: E501


def test_who_has_not_ordered_yet_is_listed_with_the_telephone(floor, owner):
    page = owner.get(reverse("season_shops")).content.decode()
    assert "1 shop that took 1,800 pairs last Christmas has not ordered yet; 1 of them had by this day last" in page
    assert "01632 960123" in page
    assert "The Lamp Room" not in page


@pytest.mark.parametrize("sheet", SHEETS)
def test_every_table_is_to_be_had_as_csv(floor, owner, sheet):
    answer = owner.get(reverse("season_csv", args=[sheet]))
    assert answer["Content-Type"].startswith("text/csv")
    assert len(answer.content.decode("utf-8-sig").splitlines()) > 1
    assert f"season-{sheet}-2026-11-30.csv" in answer["Content-Disposition"]


def test_no_other_sheet(owner):
    assert owner.get(reverse("season_csv", args=["ledger"])).status_code == 404


@pytest.mark.parametrize("name", READ)
def test_pages_ask_no_more_of_a_bigger_book(floor, owner, name):
    def asked() -> int:
        owner.get(reverse(name))  # what is worked out of the plan once a process
        with CaptureQueriesContext(connection) as queries:
            assert owner.get(reverse(name)).status_code == 200
        return len(queries)

    before = asked()
    for n in range(30):
        candle, shop = make_candle(wax=floor.wax, colour=floor.red), make_shop()
        make_booked_before(shop, candle, 12, date(2025, 12, 1), made_by=floor.by)
        if n % 2:
            make_booking(shop, candle, 6, date(2026, 11, 20))
    # Candles without a recipe are named: one query more, however many.
    assert asked() <= before + 2


def test_what_if_is_told_beside_the_weeks_and_can_be_tried_with_the_plan(floor, owner):
    asked = {"vats_more": floor.north.pk, "carousels_more": 1, "saturdays": "on"}
    page = Page(owner.get(reverse("season_load"), asked).content.decode())
    said = [heading["text"] for heading in page.all("h2")]
    assert said[0].startswith(
        "With a vat more like North vat, 1 carousel more and with 3 Saturdays worked: the fullest"
    )
    hidden = {e["attrs"]["name"]: e["attrs"]["value"] for e in page.all("input", type="hidden")}
    answer = owner.post(reverse("season_try"), {name: value for name, value in hidden.items() if name in asked})
    search = PlanSearch.objects.exclude(what_if={}).get()
    assert answer.url == reverse("dip_plan_trial", args=[search.pk])
    assert search.what_if["vats_more"] == [floor.north.pk]
    assert search.what_if["days_worked"][0] == "2026-12-05"


@pytest.mark.parametrize(
    "asked", [{"hands": "many"}, {"carousels_more": "9"}, {"vats_more": "999999"}, {"hands": "\x00"}]
)
def test_nonsense_is_not_tried_and_stays_in_its_field(floor, owner, asked):
    answer = owner.get(reverse("season_load"), asked)
    assert answer.status_code == 422
    assert "errorlist" in answer.content.decode()
    assert owner.post(reverse("season_try"), asked).url == reverse("season_load")
    assert not PlanSearch.objects.exclude(what_if={}).exists()


def test_nothing_changed_is_nothing_tried(floor, owner):
    assert owner.post(reverse("season_try"), {}).url == reverse("season_load")
    assert not PlanSearch.objects.exists()


def test_without_a_plan_there_is_nothing_to_try_against(owner):
    assert owner.post(reverse("season_try"), {"hands": "1"}).url == reverse("dip_plan")


def test_the_make_ahead_list_is_put_on_the_dip_list_once(floor, owner):
    page = Page(owner.get(reverse("season_ahead")).content.decode())
    seen = page.one("input", name="seen")["attrs"]["value"]
    before = Want.objects.count()
    for _ in range(2):
        assert owner.post(reverse("season_ahead_put"), {"seen": seen}).url == reverse("season_ahead")
    made = Want.objects.filter(group="")
    assert before + made.count() == Want.objects.count() > before
    assert Record.objects.filter(subject="candle", what__contains="for Christmas").count() == made.count()
    assert owner.post(reverse("season_ahead_put"), {}).url == reverse("season_ahead")


def test_rows_from_before_are_pasted_and_taken_out(owner):
    make_shop(name="Ossel Gifts"), make_candle(code="IV250")
    form = {"submission": uuid.uuid4(), "rows": "2025-11-03, Ossel Gifts, IV250, 48\n4/11/2025, ossel gifts, iv250, 6"}
    for _ in range(2):
        assert owner.post(reverse("season_before"), form).url == reverse("season_before")
    assert list(BookedBefore.objects.values_list("pairs", flat=True)) == [48, 6]
    assert "54 pairs that shops ordered before this book" in owner.get(reverse("season_before")).content.decode()
    for _ in range(2):
        owner.post(reverse("season_before_out"), {"submission": form["submission"]})
    assert not BookedBefore.objects.exists()
    assert owner.post(reverse("season_before_out"), {"submission": "x"}).url == reverse("season_before")


@pytest.mark.parametrize(
    "rows", ["2025-11-03, Osel Gifts, IV250, 48", "", "a,b\n=1+1,2", "2025-11-03\x00,,,", "1,2,3,4,5,6"]
)
def test_rows_that_cannot_be_read_are_refused_whole_and_stay(owner, rows):
    make_shop(name="Ossel Gifts"), make_candle(code="IV250")
    good = "2025-11-03, Ossel Gifts, IV250, 48\n" if rows else ""
    answer = owner.post(reverse("season_before"), {"submission": uuid.uuid4(), "rows": good + rows})
    assert answer.status_code == 422
    page = Page(answer.content.decode())
    assert page.all("ul", class_="errorlist")
    assert good.strip() in page.one("textarea")["text"]
    assert not BookedBefore.objects.exists()


def test_a_day_this_book_knows_is_refused_beside_the_field(owner):
    shop, candle = make_shop(name="Ossel Gifts"), make_candle(code="IV250")
    make_booking(shop, candle, 6, date(2025, 11, 1))
    form = {"submission": uuid.uuid4(), "rows": "2025-11-03, Ossel Gifts, IV250, 48"}
    answer = owner.post(reverse("season_before"), form)
    assert answer.status_code == 422
    assert "1 row is of 1 November 2025 or later" in answer.content.decode()
    assert Order.objects.count() == 1


def test_when_the_season_is_is_the_owners_to_say(owner):
    form = {"first_month": "8", "last_van": "2026-12-17", "version": "1"}
    assert owner.post(reverse("season_figures"), form).url == reverse("season")
    assert SeasonFigures.objects.get().first_month == 8
    stale = owner.post(reverse("season_figures"), {**form, "first_month": "10"})
    assert stale.status_code == 422
    assert "Somebody changed this" in stale.content.decode()
    assert SeasonFigures.objects.get().first_month == 8
    for wrong in ({"first_month": "13"}, {"last_van": "2026-12-31", "version": "2"}, {"last_van": "soon"}):
        assert owner.post(reverse("season_figures"), {**form, **wrong}).status_code == 422
