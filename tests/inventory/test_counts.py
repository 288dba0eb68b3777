"""Stock counts: the sheet, typing in, differences against the moment of counting, posting once."""

import subprocess
from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils import timezone

from inventory.audit import breaches
from inventory.domain.counts import discard_count, post_count, start_count, type_in
from inventory.domain.lots import adjust_lot
from inventory.domain.versions import StaleVersion
from inventory.models import Lot, Movement, Record, StockCount
from inventory.queries.counts import differences
from tests.factories import make_candle, make_lot, make_person, make_shelf, make_workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def by():
    return make_person()


@pytest.fixture
def clock(monkeypatch):
    """`clock(minutes)` sets the hour: whatever happens next, happens that long after the sheet was made."""
    noon = timezone.now() - timedelta(hours=5)
    at = [noon]
    monkeypatch.setattr("django.utils.timezone.now", lambda: at[0])

    def set_to(minutes):
        at[0] = noon + timedelta(minutes=minutes)
        return at[0]

    return set_to


def counting(lot, by):
    count = start_count(by=by)
    return count, count.rows.get(lot=lot)


def typed(count, counted, by, at=None):
    count.refresh_from_db()
    at = at or timezone.now()
    return type_in(count=count, version=count.version, counted_at=at, counted=counted, by=by)


def on_hand(lot):
    return Lot.objects.get(pk=lot.pk).on_hand


def test_sheet_holds_the_lots_of_the_shelf_with_what_the_book_says(by):
    shelf, other = make_shelf(), make_shelf()
    lot = make_lot(pairs=24, shelf=shelf)
    make_lot(pairs=0, shelf=shelf)
    make_lot(pairs=9, shelf=other)
    count = start_count(by=by, shelf=shelf)
    assert [(row.lot, row.expected, row.counted) for row in count.rows.all()] == [(lot, 24, None)]
    assert start_count(by=by).rows.count() == 2


def test_one_open_sheet_a_place(by):
    shelf = make_shelf()
    make_lot(shelf=shelf)
    for place in (shelf, None):
        first = start_count(by=by, shelf=place)
        with pytest.raises(ValidationError, match=f"Count {first.pk}, begun by"):
            start_count(by=by, shelf=place)
        with pytest.raises(IntegrityError), transaction.atomic():
            StockCount.objects.create(started_at=timezone.now(), started_by=by, shelf=place)


def test_empty_shelf_has_nothing_to_count(by):
    with pytest.raises(ValidationError, match="nothing to count"):
        start_count(by=by, shelf=make_shelf())


def test_posting_books_the_differences_and_nothing_else(by):
    short, right, uncounted = make_lot(pairs=24), make_lot(pairs=30), make_lot(pairs=12)
    count = start_count(by=by)
    rows = {row.lot: row for row in count.rows.all()}
    count = typed(count, {rows[short].pk: 22, rows[right].pk: 30}, by)
    assert on_hand(short) == 24
    count = post_count(count=count, version=count.version, by=by)
    assert [on_hand(lot) for lot in (short, right, uncounted)] == [22, 30, 12]
    movement = Movement.objects.get(kind="recounted")
    assert (movement.lot, movement.pairs, movement.reference, movement.person) == (short, -2, str(count), by)
    assert movement.reason == "Counted 22, the book said 24."
    assert (count.posted_by, count.posted_at is not None) == (by, True)
    assert list(breaches()) == []


def test_nought_counted_empties_a_lot_and_found_pairs_come_in(by):
    gone, more = make_lot(pairs=24), make_lot(pairs=24)
    count = start_count(by=by)
    rows = {row.lot: row.pk for row in count.rows.all()}
    count = typed(count, {rows[gone]: 0, rows[more]: 25}, by)
    post_count(count=count, version=count.version, by=by)
    assert (on_hand(gone), on_hand(more)) == (0, 25)


def test_pairs_that_moved_before_the_counting_are_compared(by, clock):
    lot = make_lot(pairs=24)
    count, row = counting(lot, by)
    clock(10)
    adjust_lot(lot=lot, kind="damaged", pairs=4, reason="fell", by=by)
    counted_at = clock(20)
    typed(count, {row.pk: 20}, by, counted_at)
    count.refresh_from_db()
    (found,) = differences(count)
    assert (found.book, found.difference) == (20, 0)


def test_pairs_that_moved_after_the_counting_are_not_counted_twice(by, clock):
    lot = make_lot(pairs=24)
    count, row = counting(lot, by)
    counted_at = clock(20)
    clock(30)
    adjust_lot(lot=lot, kind="damaged", pairs=4, reason="fell", by=by)
    clock(40)
    count = typed(count, {row.pk: 23}, by, counted_at)
    (found,) = differences(count)
    assert (found.book, found.difference, found.left) == (24, -1, 19)
    assert [movement.pairs for movement in found.since] == [-4]
    clock(50)
    post_count(count=count, version=count.version, by=by)
    assert on_hand(lot) == 19


def test_two_sheets_that_saw_the_same_gap_close_it_once(by, clock):
    shelf = make_shelf()
    lot = make_lot(pairs=24, shelf=shelf)
    first, second = start_count(by=by), start_count(by=by, shelf=shelf)
    counted_at = clock(10)
    first = typed(first, {first.rows.get().pk: 22}, by, counted_at)
    second = typed(second, {second.rows.get().pk: 22}, by, counted_at)
    clock(20)
    post_count(count=first, version=first.version, by=by)
    clock(30)
    post_count(count=second, version=second.version, by=by)
    assert on_hand(lot) == 22
    assert Movement.objects.filter(kind="recounted").count() == 1


def test_posted_sheet_goes_on_showing_what_was_posted(by, clock):
    lot = make_lot(pairs=24)
    count, row = counting(lot, by)
    clock(10)
    count = typed(count, {row.pk: 22}, by)
    clock(20)
    count = post_count(count=count, version=count.version, by=by)
    clock(30)
    adjust_lot(lot=lot, kind="damaged", pairs=4, reason="fell", by=by)
    (found,) = differences(count)
    assert (found.book, found.counted, found.difference, found.since) == (24, 22, -2, [])


def test_posting_refuses_what_would_fall_below_set_aside_and_keeps_everything(by):
    promised, other = make_lot(pairs=24, set_aside=20, code="L-1"), make_lot(pairs=24)
    count = start_count(by=by)
    rows = {row.lot: row.pk for row in count.rows.all()}
    count = typed(count, {rows[promised]: 19, rows[other]: 1}, by)
    with pytest.raises(ValidationError) as caught:
        post_count(count=count, version=count.version, by=by)
    assert caught.value.messages == [
        "L-1: 19 pairs would be left, but 20 are set aside. Count it again, or release 1 first."
    ]
    count.refresh_from_db()
    assert count.posted_at is None
    assert sorted(count.rows.values_list("counted", flat=True)) == [1, 19]
    assert (on_hand(promised), on_hand(other)) == (24, 24)


def test_count_is_posted_once_and_closed_then(by):
    lot = make_lot(pairs=24)
    count, row = counting(lot, by)
    count = typed(count, {row.pk: 22}, by)
    post_count(count=count, version=count.version, by=by)
    count.refresh_from_db()
    for action in (
        lambda: post_count(count=count, version=count.version, by=by),
        lambda: typed(count, {row.pk: 1}, by),
        lambda: discard_count(count=count, version=count.version, by=by),
    ):
        with pytest.raises(ValidationError, match="was posted by"):
            action()
    assert on_hand(lot) == 22


def test_nothing_typed_in_is_not_posted(by):
    count, _ = counting(make_lot(), by)
    with pytest.raises(ValidationError, match="Nothing has been typed in"):
        post_count(count=count, version=1, by=by)


def test_posting_means_the_figures_that_were_seen(by):
    lot = make_lot(pairs=24)
    count, row = counting(lot, by)
    seen = typed(count, {row.pk: 22}, by).version
    typed(count, {row.pk: 2}, make_person("packer"))
    for action in (post_count, discard_count):
        with pytest.raises(StaleVersion):
            action(count=count, version=seen, by=by)
    assert on_hand(lot) == 24


@pytest.mark.parametrize("pairs", [-1, 10**9])
def test_type_in_refuses_absurd_pairs(by, pairs):
    count, row = counting(make_lot(), by)
    with pytest.raises(ValidationError, match="Between 0 and"):
        typed(count, {row.pk: pairs}, by)


@pytest.mark.parametrize("minutes", [-1, 600])
def test_counting_lies_between_the_sheet_and_now(by, clock, minutes):
    count, row = counting(make_lot(), by)
    with pytest.raises(ValidationError) as caught:
        typed(count, {row.pk: 1}, by, timezone.now() + timedelta(minutes=minutes))
    assert "counted_at" in caught.value.message_dict


def test_rows_of_another_sheet_are_refused(by):
    shelf = make_shelf()
    make_lot(shelf=shelf)
    count, other = start_count(by=by), start_count(by=by, shelf=shelf)
    with pytest.raises(ValidationError, match="No such row"):
        typed(count, {other.rows.get().pk: 1}, by)


def test_lot_found_off_the_sheet_joins_it(by, clock):
    shelf, lot, stray = make_shelf(), make_lot(), make_lot(pairs=12)
    Lot.objects.filter(pk=lot.pk).update(shelf=shelf)
    count = start_count(by=by, shelf=shelf)
    clock(10)
    adjust_lot(lot=stray, kind="damaged", pairs=2, reason="fell", by=by)
    clock(20)
    now = timezone.now()
    count = type_in(count=count, version=1, counted_at=now, counted={}, found=[(stray, 9)], by=by)
    row = count.rows.get(lot=stray)
    assert (row.expected, row.counted) == (12, 9)
    with pytest.raises(ValidationError, match="on the sheet already"):
        type_in(count=count, version=2, counted_at=now, counted={}, found=[(stray, 9)], by=by)
    post_count(count=count, version=2, by=by)
    assert on_hand(stray) == 9


def test_sheet_thrown_away_stays_on_record(by):
    count, _ = counting(make_lot(), by)
    number = count.pk
    discard_count(count=count, version=1, by=by)
    assert not StockCount.objects.exists()
    assert "thrown away" in Record.objects.filter(subject="count", subject_id=number).first().what


@pytest.mark.parametrize("fields", [{"posted_at": timezone.now()}, {"posted_by": True}])
def test_bare_count_posted_by_nobody_or_never_the_database_refuses(by, fields):
    if "posted_by" in fields:
        fields = {"posted_by": by}
    with pytest.raises(IntegrityError), transaction.atomic():
        StockCount.objects.create(started_at=timezone.now(), started_by=by, **fields)


# The pages


def form_of(count, figures, **fields):
    count.refresh_from_db()
    moment = timezone.localtime(timezone.now()).strftime("%Y-%m-%dT%H:%M")
    rows = {f"row_{pk}": pairs for pk, pairs in figures.items()}
    return {"version": count.version, "counted_at": moment, **rows, **fields}


def test_the_whole_way_through_the_pages(client_for):
    make_workshop()
    lot, owner, packer = make_lot(pairs=24, code="L-1"), client_for("owner"), client_for("packer")
    assert "No count has been posted yet." in packer.get(reverse("stock_counts")).content.decode()
    answer = packer.post(reverse("stock_count_new"), {"shelf": ""})
    count = StockCount.objects.get()
    row = count.rows.get()
    assert answer.url == count.get_absolute_url()
    assert "1 lot to count, nothing typed in yet" in packer.get(answer.url).content.decode()
    page = packer.get(reverse("stock_count_type", args=[count.pk])).content.decode()
    assert f'name="row_{row.pk}"' in page
    assert "autofocus" in page
    answer = packer.post(reverse("stock_count_type", args=[count.pk]), form_of(count, {row.pk: 22}))
    text = owner.get(answer.url).content.decode()
    assert "1 of 1 lot counted; 1 differs, 2 pairs fewer in all, not posted yet." in text
    assert "Post the differences" in text
    assert "Post the differences" not in packer.get(answer.url).content.decode()
    count.refresh_from_db()
    for _ in range(2):
        owner.post(reverse("stock_count_post", args=[count.pk]), {"version": count.version})
    lot.refresh_from_db()
    assert lot.on_hand == 22
    assert "2 pairs fewer in all." in owner.get(answer.url).content.decode()
    assert "The last count was posted on" in owner.get(reverse("stock_counts")).content.decode()
    assert owner.get(reverse("stock_count_type", args=[count.pk])).url == count.get_absolute_url()


def test_keep_and_go_on_comes_back_to_the_form(client_for):
    client, by = client_for("packer"), make_person()
    count, row = counting(make_lot(), by)
    url = reverse("stock_count_type", args=[count.pk])
    assert client.post(url, form_of(count, {row.pk: 3}, go_on="")).url == url
    assert 'value="3"' in client.get(url).content.decode()


def test_starting_twice_is_told_of_the_open_sheet(client_for):
    make_lot()
    client = client_for("dipper")
    client.post(reverse("stock_count_new"), {"shelf": ""})
    answer = client.post(reverse("stock_count_new"), {"shelf": ""})
    assert answer.status_code == 422
    assert "is still open for the same place" in answer.content.decode()
    assert StockCount.objects.count() == 1
    assert client.post(reverse("stock_count_new"), {"shelf": "999999"}).status_code == 422


@pytest.mark.parametrize("said", ["-1", "x", "1.5", "1000000000", "9" * 40, "1\x00"])
def test_wrong_figure_is_refused_beside_its_field_and_the_typing_kept(client_for, by, said):
    one, other = make_lot(), make_lot()
    count = start_count(by=by)
    rows = [count.rows.get(lot=lot).pk for lot in (one, other)]
    answer = client_for("packer").post(
        reverse("stock_count_type", args=[count.pk]), form_of(count, {rows[0]: said, rows[1]: "7"})
    )
    assert answer.status_code == 422
    assert list(answer.context["form"].errors) == [f"row_{rows[0]}"]
    assert 'value="7"' in answer.content.decode()
    assert not count.rows.filter(counted__isnull=False).exists()


@pytest.mark.parametrize(
    ("field", "fields"),
    [
        ("counted_at", {"counted_at": ""}),
        ("counted_at", {"counted_at": "noon"}),
        ("counted_at", {"counted_at": "2001-01-01T10:00"}),
        ("counted_at", {"counted_at": "2999-01-01T10:00"}),
        ("found_lot", {"found_lot": "NONE-SUCH", "found_pairs": "3"}),
        ("found_lot", {"found_pairs": "3"}),
        ("found_lot", {"found_lot": "L-1", "found_pairs": "3"}),
        ("found_pairs", {"found_lot": "L-1"}),
        ("found_pairs", {"found_lot": "L-1", "found_pairs": "-3"}),
        ("version", {"version": "x"}),
    ],
)
def test_wrong_head_of_the_sheet_is_refused_beside_its_field(client_for, by, field, fields):
    count, row = counting(make_lot(code="L-1"), by)
    answer = client_for("packer").post(
        reverse("stock_count_type", args=[count.pk]), form_of(count, {row.pk: "7"}, **fields)
    )
    assert answer.status_code == 422
    assert field in answer.context["form"].errors
    assert 'value="7"' in answer.content.decode()
    assert not count.rows.filter(counted__isnull=False).exists()


def test_second_of_two_who_type_is_told_sees_both_and_loses_nothing(client_for, by):
    count, row = counting(make_lot(code="L-1"), by)
    url = reverse("stock_count_type", args=[count.pk])
    stale = form_of(count, {row.pk: "9"})
    client_for("packer").post(url, form_of(count, {row.pk: "7"}))
    client = client_for("dipper")
    answer = client.post(url, stale)
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "7 kept by them; you typed 9" in text
    assert 'value="9"' in text
    row.refresh_from_db()
    assert row.counted == 7
    client.post(url, {**stale, "version": answer.context["form"]["version"].value()})
    row.refresh_from_db()
    assert row.counted == 9


def test_post_is_refused_in_the_page_with_the_lots_named(client_for, by):
    count, row = counting(make_lot(pairs=24, set_aside=20, code="L-1"), by)
    count = typed(count, {row.pk: 3}, by)
    client = client_for("owner")
    answer = client.post(reverse("stock_count_post", args=[count.pk]), {"version": count.version})
    assert answer.status_code == 422
    text = answer.content.decode()
    assert "L-1: 3 pairs would be left, but 20 are set aside." in text
    assert "Post the differences" not in text


def test_differences_tell_what_moved_since_the_sheet(client_for, by, clock):
    lot = make_lot(pairs=24)
    count, row = counting(lot, by)
    clock(10)
    adjust_lot(lot=lot, kind="damaged", pairs=1, reason="fell", by=by)
    counted_at = clock(20)
    clock(30)
    adjust_lot(lot=lot, kind="damaged", pairs=2, reason="fell", by=by)
    count = typed(count, {row.pk: 23}, by, counted_at)
    text = client_for("packer").get(count.get_absolute_url()).content.decode()
    assert "damaged -1: before the counting" in text
    assert "damaged -2: after the counting, not compared" in text
    assert "all agree with the book" in text


@pytest.mark.parametrize("page", ["stock_count_post", "stock_count_discard", "stock_count_new"])
def test_actions_refuse_get(client_for, by, page):
    count, _ = counting(make_lot(), by)
    url = reverse(page, args=[] if page == "stock_count_new" else [count.pk])
    assert client_for("owner").get(url).status_code == 405


def test_sheet_is_thrown_away_by_the_page(client_for, by):
    count, _ = counting(make_lot(), by)
    client, url = client_for("packer"), reverse("stock_count_discard", args=[count.pk])
    assert client.post(url, {"version": "x"}).status_code == 422
    assert client.post(url, {"version": count.version}).url == reverse("stock_counts")
    assert client.post(url, {"version": count.version}).status_code == 404


def test_counts_refuse_the_wrong_role_and_unknown_sheets(client_for, by):
    count, row = counting(make_lot(pairs=24), by)
    count = typed(count, {row.pk: 3}, by)
    post = reverse("stock_count_post", args=[count.pk])
    for role in ("packer", "dipper", "bookkeeper"):
        assert client_for(role).post(post, {"version": count.version}).status_code == 403
    clerk = client_for("bookkeeper")
    assert clerk.get(reverse("stock_counts")).status_code == 403
    for page in ("stock_count", "stock_count_sheet", "stock_count_type"):
        assert clerk.get(reverse(page, args=[count.pk])).status_code == 403
        assert client_for("owner").get(reverse(page, args=[999999])).status_code == 404
    assert on_hand(row.lot) == 24


@pytest.mark.parametrize("rows", [1, 30])
@pytest.mark.parametrize(("page", "queries"), [("stock_count", 7), ("stock_count_type", 4), ("stock_counts", 7)])
def test_pages_ask_as_much_for_one_row_as_for_thirty(client_for, django_assert_num_queries, rows, page, queries):
    by = make_person()
    for _ in range(rows):
        make_lot(make_candle(), shelf=make_shelf(), by=by)
    count = start_count(by=by)
    for shelf in {row.lot.shelf for row in count.rows.select_related("lot__shelf")}:
        start_count(by=by, shelf=shelf)
    typed(count, {row.pk: 1 for row in count.rows.all()}, by)
    client = client_for("owner")
    with django_assert_num_queries(queries):
        client.get(reverse(page, args=[] if page == "stock_counts" else [count.pk]))


def test_printed_sheet_walks_the_shelves_and_hides_the_book_unless_asked(client_for, by, tmp_path):
    make_workshop(name="Tallow Lane Candles")
    far, near = make_shelf(code="Z9", walk=1), make_shelf(code="A1", walk=2)
    make_lot(pairs=4711, code="L-FAR", shelf=near)
    make_lot(pairs=815, code="L-NEAR", shelf=far)
    make_lot(pairs=24, code="L-NONE")
    count, client = start_count(by=by), client_for("packer")

    def text_of(query):
        answer = client.get(reverse("stock_count_sheet", args=[count.pk]), query)
        assert answer["Content-Type"] == "application/pdf"
        path = tmp_path / "sheet.pdf"
        path.write_bytes(answer.content)
        return subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, check=True, text=True).stdout

    blind, open_ = text_of({}), text_of({"expected": ""})
    assert "4711" not in blind
    assert "4711" in open_
    assert blind.index("L-NEAR") < blind.index("L-FAR") < blind.index("L-NONE")
    assert "Tallow Lane Candles" in blind
    assert "Page 1 of 1" in blind
