"""What to buy: sentences, boxes and labels of open orders, and the rows of the page."""

from datetime import date, timedelta

import pytest
from django.utils import timezone

from orders.buying import Known, asked_by, headline, lasts, order_by, today_line
from orders.domain.packing import close_boxes, start_packing
from orders.domain.setting_aside import set_aside_order
from orders.queries.buying import what_to_buy
from orders.queries.pack_needs import packing_needs
from production.needs import FLOOR, PACKING, PLAN, Arrival, Held, Need, outlook
from tests.factories import make_box_kind, make_candle, make_lot, make_order, make_person, make_shop, make_van_days
from tests.factories.floor import make_frame
from tests.factories.house import make_workshop
from tests.factories.materials import make_blend, make_material, make_material_lot, make_supplier

TODAY = date(2026, 11, 30)


def known(name="Paraffin", *, on_hand=100_000, needs=(), arrivals=(), lead_days=7, keep=0):
    held = Held(on_hand, 0, keep, 25_000, lead_days)
    asked = [Need(TODAY + timedelta(days=days), amount, FLOOR) for days, amount in needs]
    coming = [Arrival(TODAY + timedelta(days=days), amount) for days, amount in arrivals]
    return Known(name, "g", held, outlook(held, asked, coming, TODAY))


def test_the_first_line_says_what_to_order_today():
    due = known(needs=[(7, 120_000)])
    assert headline([known(), due], TODAY) == "Order Paraffin today."
    rows = [known(name, needs=[(7, 120_000)]) for name in ("Paraffin", "Stearin", "Wick", "Boxes", "Labels")]
    assert headline(rows, TODAY) == "5 materials must be ordered today: Paraffin, Stearin, Wick and 2 more."


def test_the_first_line_names_what_runs_out_before_it_can_come():
    late = known("Stearin", needs=[(3, 120_000)])
    said = headline([known(needs=[(7, 120_000)]), late], TODAY)
    assert said == "Order Paraffin and Stearin today. Stearin runs out on 3 Dec, 4 days before it can come."


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ([], "No material is bought here yet: set one up, with who sells it."),
        ([known(needs=[(3, 5)])], "There is enough of every material for all that is known."),
        (
            [known(needs=[(20, 120_000)]), known("Wick", needs=[(30, 120_000)])],
            "Nothing has to be ordered before 13 Dec; then Paraffin.",
        ),
        (
            [known(needs=[(2, 120_000)], arrivals=[(5, 25_000)]), known("Wick")],
            "Nothing has to be ordered for all that is known. "
            "Paraffin runs out on 2 Dec, before what is under way comes.",
        ),
        (
            [known(needs=[(20, 120_000)], lead_days=None)],
            "Paraffin will not last, and nobody is named who sells it.",
        ),
    ],
)
def test_the_first_line_where_nothing_is_pressing(rows, said):
    assert headline(rows, TODAY) == said


@pytest.mark.parametrize(
    ("row", "how_long", "when"),
    [
        (known(), "nothing asks for it", "enough"),
        (known(needs=[(3, 5)]), "for all that is known", "enough"),
        (known(needs=[(20, 120_000)]), "till 20 Dec", "by 13 Dec"),
        (known(needs=[(7, 120_000)]), "till 7 Dec", "today"),
        (known(needs=[(2, 120_000)]), "till 2 Dec", "today: the store is empty for 5 days till it comes"),
        (known(on_hand=0, needs=[(0, 5)]), "used up today", "today: the store is empty for 7 days till it comes"),
        (
            known(needs=[(4, 90_000)], keep=20_000),
            "for all that is known",
            "today: some of what is always kept is used till it comes",
        ),
        (known(needs=[(2, 120_000)], lead_days=None), "till 2 Dec", "nobody is named who sells it"),
        (
            known(needs=[(2, 120_000)], arrivals=[(5, 25_000)]),
            "till 2 Dec",
            "ordered, but needed before it comes: ask for it by 2 Dec",
        ),
    ],
)
def test_each_row_says_how_long_it_lasts_and_when_to_order(row, how_long, when):
    assert lasts(row.outlook, TODAY) == how_long
    assert order_by(row, TODAY) == when


def test_what_asks_for_it_is_told_by_amount():
    needs = [Need(TODAY, 4_000, FLOOR), Need(TODAY, 120_000, PLAN), Need(TODAY, 500, FLOOR)]
    assert asked_by(needs, "g") == ["frames on the floor 4.5 kg", "the dip plan 120 kg"]


def test_today_tells_only_of_what_cannot_wait():
    assert today_line([known(), known(needs=[(20, 120_000)])], TODAY) == ""
    rows = [known(name, needs=[(7, 120_000)]) for name in "ABCDE"]
    assert today_line(rows, TODAY) == "Order today: A (25 kg), B (25 kg), C (25 kg), D (25 kg) and 1 more"


@pytest.fixture
def stock(db):
    """Two kinds of box that draw themselves and one label each; 24 pairs of the candle fill the standard one."""
    make_workshop()
    make_van_days()
    label = make_material("label", name="Box label")
    box, long = make_material("box", name="Standard box"), make_material("box", name="Long box")
    make_box_kind(standard=True, material=box, label=label)
    make_box_kind(length_mm=470, width_mm=260, height_mm=180, material=long, label=label)
    return {"box": box, "long": long, "label": label, "candle": make_candle(pairs_per_box=24)}


def test_open_orders_need_boxes_and_labels_for_their_day(stock):
    ship_by = timezone.localdate() + timedelta(days=6)
    make_order(lines=[(stock["candle"], 60)], ship_by=ship_by)
    make_order(lines=[(make_candle(length_mm=400, pairs_per_box=24), 10)], ship_by=ship_by)
    for status in ("draft", "cancelled", "done"):
        make_order(lines=[(stock["candle"], 60)], ship_by=ship_by, status=status)
    needs = packing_needs()
    boxes = sum(need.amount for key in ("box", "long") for need in needs[stock[key].pk])
    assert sum(need.amount for need in needs[stock["label"].pk]) == boxes
    assert sum(need.amount for need in needs[stock["long"].pk]) >= 1  # 400 mm goes into no other
    assert {(need.day, need.source) for rows in needs.values() for need in rows} == {(ship_by, PACKING)}


def test_what_is_packed_needs_its_boxes_until_they_are_closed(stock):
    by = make_person()
    make_lot(stock["candle"], 24, by=by)
    order = make_order(make_shop(), [(stock["candle"], 24)], by=by, ship_by=timezone.localdate() + timedelta(days=4))
    set_aside_order(order=order, by=by)

    def boxes():
        return sum(need.amount for need in packing_needs().get(stock["label"].pk, ()))

    assert boxes() == 1
    delivery = start_packing(order=order, by=by)
    assert boxes() == 1
    close_boxes(delivery=delivery, version=delivery.version, by=by)
    assert boxes() == 0


def test_an_order_that_fits_no_box_is_left_out(stock):
    make_order(lines=[(make_candle(length_mm=900), 5)])
    assert packing_needs() == {}


@pytest.mark.django_db
def test_where_no_box_draws_anything_nothing_is_reckoned(django_assert_num_queries):
    make_box_kind(standard=True)
    make_order()
    with django_assert_num_queries(1):
        assert packing_needs() == {}


@pytest.mark.django_db
def test_rows_hold_what_is_there_under_way_and_needed_the_most_pressing_first():
    candle = make_candle()
    (wax,) = make_blend(candle.wax)
    wax.supplier, wax.pack = make_supplier(lead_days=4), 25_000
    wax.save()
    make_material_lot(wax, 1_000)
    make_material("label", name="A label")
    make_frame(candle, "hanging", hung=10)
    first, second = what_to_buy(timezone.localdate())
    assert (first.material, first.known.outlook.needed, first.known.outlook.order) == (wax, 1_286, 25_000)
    assert first.known.due(timezone.localdate())
    assert (second.needs, second.known.outlook.order) == ([], 0)


@pytest.mark.django_db
def test_without_materials_nothing_is_asked(django_assert_num_queries):
    make_frame()
    with django_assert_num_queries(1):
        assert what_to_buy(timezone.localdate()) == []
