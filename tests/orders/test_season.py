"""The season out of the book: what counts, in how many queries; and what is put in from before."""

import uuid
from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, connection, transaction
from django.test.utils import CaptureQueriesContext

from inventory.domain.versions import StaleVersion
from inventory.models import Record
from orders.domain.season import Before, put_booked_before, save_season_figures, take_out_booked_before
from orders.models import BookedBefore, SeasonFigures
from orders.queries.season import pastes, season_dates, season_now, shipped_by_week
from orders.queries.season_pages import candle_rows, curve_rows, not_yet_rows
from tests.factories import make_candle, make_order, make_person, make_shop
from tests.factories.seasons import make_booked_before, make_booking
from tests.factories.trade import make_van_days

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 20)


@pytest.fixture
def two_seasons():
    """This year two shops booked 60 and 30; by this day last year the first had 40, and 20 and another's 10 came."""
    shops = [make_shop(name=name) for name in ("Ossel Gifts", "The Lamp Room", "Fern & Flint")]
    ivory, red = make_candle(), make_candle()
    make_booking(shops[0], ivory, 60, date(2026, 9, 14))
    make_booking(shops[1], red, 30, TODAY)
    make_booked_before(shops[0], ivory, 40, date(2025, 11, 20))
    make_booked_before(shops[0], ivory, 20, date(2025, 11, 21))
    make_booked_before(shops[2], red, 10, date(2025, 12, 1))
    return shops, ivory, red


def test_two_seasons_are_cut_at_the_same_day(two_seasons):
    shops, ivory, red = two_seasons
    season = season_now(TODAY)
    assert (season.now.early, season.now.total) == (90, 90)
    assert (season.last.early, season.last.total) == (40, 70)
    assert season.last.late_by_shop == {shops[0].pk: 20, shops[2].pk: 10}
    assert season.last.early_by_candle == {ivory.pk: 40}
    assert season.last.late_by_candle == {ivory.pk: 20, red.pk: 10}
    assert season.last.line == pytest.approx((20 * 20 + 10 * 10) / 30)
    assert season.now.curve.steps == ((date(2026, 9, 14), 60), (TODAY, 90))
    assert season.before[1].total == 0
    assert season.projection.rest > 0


def test_what_is_no_order_for_christmas_is_left_out():
    shop, candle = make_shop(), make_candle()
    make_booking(shop, candle, 6, date(2026, 8, 1))  # sent in August
    make_booking(shop, candle, 6, TODAY, ship_by=date(2026, 12, 29))
    make_booking(shop, candle, 6, TODAY, grade="seconds")
    make_booking(shop, candle, 6, TODAY, status="draft")
    make_booking(shop, candle, 6, TODAY, status="cancelled")
    make_booking(shop, candle, 6, date(2025, 11, 1))
    assert season_now(TODAY).now.total == 0
    make_booking(shop, candle, 12, date(2026, 3, 2), ship_by=date(2026, 9, 1))
    make_booking(shop, candle, 24, TODAY, status="done")
    season = season_now(TODAY)
    assert (season.now.total, season.last.total) == (36, 6)


def test_after_christmas_the_next_season_stands_beside_this_one(two_seasons):
    season = season_now(date(2026, 12, 28))
    assert (season.dates.year, season.now.total, season.last.total) == (2027, 0, 90)
    assert (season.last.day, season.last.early) == (date(2025, 12, 28), 0)


def test_the_queries_do_not_grow_with_the_book(two_seasons):
    red = two_seasons[2]

    def asked() -> int:
        with CaptureQueriesContext(connection) as queries:
            season = season_now(TODAY)
            candle_rows(season), curve_rows(season), not_yet_rows(season), shipped_by_week(season)
        return len(queries)

    before = asked()
    for n in range(10):
        shop = make_shop()
        make_booking(shop, red, 12, date(2026, 10, 1 + n))
        make_booked_before(shop, make_candle(), 12, date(2025, 10, 1 + n))
        make_booked_before(make_shop(), make_candle(), 12, date(2025, 10, 1 + n))
    assert asked() == before <= 18


def test_who_ordered_last_christmas_and_has_not_yet(two_seasons):
    shops, _, red = two_seasons
    make_order(shops[2], [(red, 6)], status="draft", placed_on=TODAY, ship_by=date(2026, 12, 1))
    shops[2].contacts.create(name="Della Finch", telephone="01632 960123")
    (row,) = not_yet_rows(season_now(TODAY))
    assert (row["shop"], row["pairs"], row["early"], row["first"]) == (shops[2], 10, 0, date(2025, 12, 1))
    assert (row["contact"], row["telephone"]) == ("Della Finch", "01632 960123")
    shops[2].active = False
    shops[2].save()
    assert not_yet_rows(season_now(TODAY)) == []


def test_weeks_of_the_curve_and_of_sending(two_seasons):
    rows = curve_rows(season_now(TODAY))
    assert (rows[0]["day"], rows[-1]["day"]) == (date(2026, 9, 1), date(2026, 12, 24))
    told = [(row["day"].day, row["now"], row["before"]) for row in rows if row["day"] >= date(2026, 11, 17)]
    assert told[:3] == [(17, 60, 0), (20, 90, 40), (24, None, 60)]
    assert rows[-1]["before"] == 70
    assert shipped_by_week(season_now(TODAY)) == {date(2026, 11, 30): 20, date(2026, 12, 10): 10}


def test_the_last_van_is_the_owners_where_he_names_one():
    make_van_days(1, 3)
    assert season_dates(TODAY)[0].last_van == date(2026, 12, 22)
    SeasonFigures.objects.create(pk=1, first_month=10, last_van=date(2026, 12, 17))
    this, last, _ = season_dates(TODAY)
    assert (this.begins, this.last_van) == (date(2026, 10, 1), date(2026, 12, 17))
    assert last.last_van == date(2025, 12, 23)


def rows_of(two_seasons, *days):
    shops, ivory, _ = two_seasons
    return [Before(shops[0], ivory, day, date(2026, 9, 30), 12) for day in days]


def test_rows_from_before_go_in_once_and_come_out_together(two_seasons):
    by, mark = make_person("owner"), uuid.uuid4()
    rows = rows_of(two_seasons, date(2025, 9, 1), date(2025, 9, 2))
    before = BookedBefore.objects.count()
    for _ in range(2):
        assert put_booked_before(rows=rows, submission=mark, by=by) == 2
    assert BookedBefore.objects.count() == before + 2
    told = next(row for row in pastes() if row["submission"] == mark)
    assert (told["rows"], told["pairs"], told["shops"], told["first"]) == (2, 24, 1, date(2025, 9, 1))
    assert [take_out_booked_before(submission=mark, by=by) for _ in range(2)] == [2, 0]
    assert BookedBefore.objects.count() == before
    assert Record.objects.filter(subject="workshop", what__startswith="Booked before the book", person=by).count() == 2


def test_what_this_book_knows_itself_is_refused(two_seasons):
    rows = rows_of(two_seasons, date(2025, 9, 1), date(2026, 9, 14), date(2026, 9, 20))
    before = BookedBefore.objects.count()
    with pytest.raises(ValidationError, match="2 rows are of 14 September 2026 or later"):
        put_booked_before(rows=rows, submission=uuid.uuid4(), by=make_person("owner"))
    with pytest.raises(ValidationError, match="Between 1 and"):
        put_booked_before(rows=[], submission=uuid.uuid4(), by=make_person("owner"))
    assert BookedBefore.objects.count() == before


def test_figures_are_saved_with_their_version_and_on_record():
    by = make_person("owner")
    values = {"first_month": 8, "last_van": date(2026, 12, 15)}
    row = save_season_figures(values=values, version=1, by=by)
    assert (row.version, Record.objects.filter(person=by).count()) == (2, 1)
    with pytest.raises(StaleVersion):
        save_season_figures(values={**values, "first_month": 9}, version=1, by=by)
    with pytest.raises(ValidationError) as refused:
        save_season_figures(values={**values, "last_van": date(2026, 12, 30)}, version=2, by=by)
    assert list(refused.value.message_dict) == ["last_van"]
    assert SeasonFigures.objects.get().first_month == 8


@pytest.mark.parametrize("wrong", [{"pairs": 0}, {"pairs": 100_001}, {"ship_by": date(2025, 10, 31)}])
def test_the_table_refuses_what_cannot_be(wrong):
    shop, candle, by = make_shop(), make_candle(), make_person()
    values = {"pairs": 6, "placed_on": date(2025, 11, 1), "made_by": by, **wrong}
    with pytest.raises(IntegrityError), transaction.atomic():
        make_booked_before(shop, candle, **values)


def test_one_row_of_figures_and_a_month_of_the_year():
    for values in ({"pk": 2}, {"pk": 1, "first_month": 13}):
        with pytest.raises(IntegrityError), transaction.atomic():
            SeasonFigures.objects.create(**values)
