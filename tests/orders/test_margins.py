"""What a pair costs out of the book, and what is left of what was sold."""

import csv
import io
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.models.material import BOX, WICK
from orders.margins import Margin, add_up, margin_sentence
from orders.models import BoxKind
from orders.periods import month_of
from orders.queries.costs import BY_CANDLE, BY_ORDER, BY_SHOP, margins, pair_costs
from production.models import CostFigures
from tests.factories import make_box_kind, make_candle, make_frame_kind, make_heat, make_recipe
from tests.factories.materials import make_blend, make_dye, make_material, make_material_lot
from tests.factories.season import make_season

pytestmark = pytest.mark.django_db


def month():
    return month_of(timezone.localdate())


@pytest.fixture
def priced():
    """A candle whose wax, dye, wick and box have a price."""
    candle = make_candle()
    (wax,) = make_blend(candle.wax)
    make_material_lot(wax, 10_000, price="30")
    make_material_lot(make_dye(candle.colour, "2"), 1000, price="50")
    candle.wick_of = make_material(WICK, name="Flat 24 ply")
    candle.save()
    make_material_lot(candle.wick_of, 100_000, price="9")
    box = make_material(BOX, name="Standard box")
    make_material_lot(box, 100, price="96")
    BoxKind.objects.update(standard=False)
    make_box_kind(standard=True, material=box)
    make_heat(candle.wax)
    make_frame_kind()
    make_recipe(candle)
    CostFigures.objects.create(pk=1)
    return candle


def test_every_part_of_a_pair_is_shown(priced):
    cost = pair_costs([priced])[priced.pk]
    by_name = {part.name: part for part in cost.parts}
    wax = next(part for name, part in by_name.items() if name.startswith("Material"))
    # 3 GBP a kg: the frustum's grams times 0.003, to a tenth of a penny.
    assert wax.amount == (priced.grams_a_pair * Decimal("0.003")).quantize(Decimal("0.001"))
    assert by_name["Flat 24 ply"].amount > 0
    assert by_name["Standard box"].amount == (Decimal("0.96") / priced.pairs_per_box).quantize(Decimal("0.001"))
    assert {"Threading", "Dipping", "Levelling, cutting off, counting", "Packing", "Heat, electricity"} <= set(by_name)
    assert not cost.lacking
    assert cost.total == sum(part.amount for part in cost.parts)


def test_a_price_is_the_mean_of_what_is_left_and_the_last_lot_when_nothing_is(priced):
    wax = priced.wax.blend.get().material
    dearer = make_material_lot(wax, 30_000, price="150", days_ago=1)
    cost = {part.name: part for part in pair_costs([priced])[priced.pk].parts}[wax.name]
    # 10 kg at 3.00 and 30 kg at 5.00: 4.50.
    assert "at £4.500 a kg" in cost.basis
    wax.lots.update(on_hand=0)
    cost = {part.name: part for part in pair_costs([priced])[priced.pk].parts}[wax.name]
    assert "at £5.000 a kg" in cost.basis
    assert dearer.price == Decimal(150)


def test_a_bare_candle_says_what_it_lacks():
    candle = make_candle()
    cost = pair_costs([candle])[candle.pk]
    assert "Wax that no blend names" in cost.lacking
    assert "Wick that is drawn from nothing" in cost.lacking


def test_thirty_candles_ask_no_more_than_one(priced, django_assert_max_num_queries):
    others = [make_candle(wax=priced.wax, colour=priced.colour) for _ in range(30)]
    with django_assert_max_num_queries(24):
        assert len(pair_costs([priced, *others])) == 31


def test_margins_add_up_alike_however_they_are_cut():
    make_season()
    by = {way: margins(month(), way) for way in (BY_CANDLE, BY_SHOP, BY_ORDER)}
    sums = {way: add_up(rows) for way, rows in by.items()}
    assert sums[BY_CANDLE].pairs > 0
    assert len({(total.pairs, total.sold, total.cost) for total in sums.values()}) == 1


def test_what_was_sold_is_what_was_invoiced():
    season = make_season()
    assert add_up(margins(month(), BY_SHOP)).sold == season.invoice.goods - season.invoice.allowance


def test_the_page_its_files_and_who_may_see_them(client_for):
    make_season()
    owner = client_for("owner")
    for by in (BY_CANDLE, BY_SHOP, BY_ORDER):
        page = owner.get(reverse("margins", args=[by])).content.decode()
        assert "was sold from" in page
        rows = list(csv.reader(io.StringIO(owner.get(reverse("margins_file", args=[by, "csv"])).content.decode())))
        assert len(rows) > 1
        assert owner.get(reverse("margins_file", args=[by, "xlsx"])).content[:2] == b"PK"
    assert owner.get(reverse("margins", args=["moon"])).status_code == 404
    assert client_for("bookkeeper").get(reverse("margins", args=[BY_SHOP])).status_code == 403
    assert owner.get(reverse("margins", args=[BY_SHOP]), {"first": "2026-02-30"}).status_code == 422


def test_what_work_costs_is_set_once_and_told(client_for, priced):
    owner, page = client_for("owner"), reverse("cost_figures")
    form = {
        "version": 1, "pay_hour": "20", "turn_seconds": "15", "grade_minutes": "20", "pack_minutes": "6",
        "heated_by": "gas", "energy_price": "0.08", "heat_share": "60", "room_c": "18",
    }  # fmt: skip
    wrong = owner.post(page, {**form, "pay_hour": "-1"})
    assert wrong.status_code == 422
    assert CostFigures.objects.get().pay_hour == 16
    before = pair_costs([priced])[priced.pk].total
    assert owner.post(page, form).status_code == 302
    assert CostFigures.objects.get().pay_hour == 20
    assert pair_costs([priced])[priced.pk].total > before
    assert "Heat, gas" in {part.name for part in pair_costs([priced])[priced.pk].parts}
    # A second person's older form is told, and sees both.
    assert owner.post(page, {**form, "pay_hour": "25"}).status_code == 422
    assert CostFigures.objects.get().pay_hour == 20


def test_sentences():
    row = Margin("Ivory", "", 10, Decimal("22.00"), Decimal("12.10"))
    assert margin_sentence(row, "in May") == (
        "£22.00 was sold in May; the pairs cost £12.10 to make, £9.90 is left: 45.0 %."
    )
    assert "at least" in margin_sentence(Margin("x", "", 1, Decimal(1), Decimal(2), whole=False), "in May")
    assert "£1.00 was lost" in margin_sentence(Margin("x", "", 1, Decimal(1), Decimal(2)), "in May")
    assert margin_sentence(add_up([]), "in May") == "Nothing was invoiced in May."
