"""The pages of a stock count."""

import io

import pytest
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from inventory.domain.counts import start_count
from inventory.domain.lots import adjust_lot
from inventory.models import StockCount
from tests.factories import make_candle, make_lot, make_person, make_shelf, make_workshop
from tests.inventory.counting import counting, on_hand, typed

pytestmark = pytest.mark.django_db


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


def test_printed_sheet_walks_the_shelves_and_hides_the_book_unless_asked(client_for, by):
    make_workshop(name="Tallow Lane Candles")
    far, near = make_shelf(code="Z9", walk=1), make_shelf(code="A1", walk=2)
    make_lot(pairs=4711, code="L-FAR", shelf=near)
    make_lot(pairs=815, code="L-NEAR", shelf=far)
    make_lot(pairs=24, code="L-NONE")
    count, client = start_count(by=by), client_for("packer")

    def text_of(query):
        answer = client.get(reverse("stock_count_sheet", args=[count.pk]), query)
        assert answer["Content-Type"] == "application/pdf"
        return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(answer.content)).pages)

    blind, open_ = text_of({}), text_of({"expected": ""})
    assert "4711" not in blind
    assert "4711" in open_
    assert blind.index("L-NEAR") < blind.index("L-FAR") < blind.index("L-NONE")
    assert "Tallow Lane Candles" in blind
    assert "Page 1 of 1" in blind
