"""The demo workshop: its season has the shape of the trade's, it is all there, and it breaks no rule of the house."""

import random
from collections import Counter
from datetime import date, timedelta

import pytest
from django.utils import timezone

from config.demo.catalogue import make_house
from config.demo.load import ACCOUNTS, load_demo
from config.demo.season import MONTHS, past_orders
from config.models import Person
from inventory.audit import breaches as inventory_breaches
from inventory.models import Candle, Colour, Lot, Wax
from orders.audit import breaches as order_breaches
from orders.domain.papers import paper_pdf
from orders.models import Delivery, Order, Paper, PaperFile, Shop

TODAY = date(2026, 11, 25)
SHOPS, CANDLES = 60, 45


@pytest.fixture(scope="module")
def season():
    rng = random.Random(7)
    return past_orders(rng, today=TODAY, shops=SHOPS, heavy={40, 41}, candles=CANDLES)


def test_a_third_of_the_year_falls_into_its_last_quarter(season):
    share = sum(order.placed_on.month >= 10 for order in season) / len(season)
    # 31 % of the source's orders; the last fortnight is left to the open orders.
    assert 0.22 < share < 0.38


def test_most_shops_come_back_and_a_few_order_most(season):
    orders = Counter(order.shop for order in season)
    assert len(orders) == SHOPS
    # 84 % of the wholesale-like buyers of the source ordered twice or more.
    assert 0.78 < sum(count > 1 for count in orders.values()) / SHOPS < 0.90


def test_lines_and_pairs_are_of_a_small_trade(season):
    lines = sorted(len(order.lines) for order in season)
    assert 8 <= lines[len(lines) // 2] <= 14
    assert max(lines) <= 40
    for order in season:
        assert len({candle for candle, _ in order.lines}) == len(order.lines)
        assert all(pairs > 0 for _, pairs in order.lines)


def test_orders_are_placed_on_working_days_of_the_past_year(season):
    assert all(order.placed_on.weekday() < 5 for order in season)
    assert all(timedelta(14) <= TODAY - order.placed_on < timedelta(365) for order in season)


def test_season_stands_at_its_busiest_whatever_the_day():
    spring = past_orders(random.Random(7), today=date(2027, 4, 14), shops=SHOPS, heavy=set(), candles=CANDLES)
    months = Counter(order.placed_on.month for order in spring)
    # Five months before 14 April lies what five months before the pivot is: a quiet stretch.
    busiest = max(months, key=lambda month: months[month])
    assert busiest in {3, 2, 1}
    assert len(MONTHS) == 12


@pytest.mark.django_db
def test_catalogue_is_invented_and_in_order():
    candles = make_house()
    assert len(candles) == CANDLES
    assert Colour.objects.count() == 12
    assert Wax.objects.count() == 3
    for candle in candles:
        candle.full_clean()
        # GTINs of the restricted range 20 to 29 mean nothing outside the house.
        assert candle.gtin.startswith("29")


# The demo has a SQLite book of its own whatever DATABASE_URL says; loaded in one transaction into PostgreSQL, which
# then knows nothing of its tables' sizes, it would take half an hour.
@pytest.mark.sqlite
@pytest.mark.django_db
def test_the_whole_demo_loads_and_breaks_no_rule():
    said = []
    load_demo(said.append)
    today = timezone.localdate()
    assert len(said) > 4
    assert Shop.objects.count() == SHOPS
    assert {account[0] for account in ACCOUNTS} == set(
        Person.objects.filter(is_demo=True).values_list("username", flat=True)
    )
    assert set(Order.objects.values_list("status", flat=True)) == {"draft", "confirmed", "done"}
    assert set(Delivery.objects.values_list("state", flat=True)) == {"packing", "packed", "left"}
    assert Order.objects.filter(status="confirmed", ship_by__lte=today + timedelta(days=7)).count() >= 10
    assert Order.objects.exclude(unread=[]).exists()
    assert Lot.objects.filter(grade="seconds", on_hand__gt=0).exists()
    assert Candle.objects.filter(active=True).count() == CANDLES
    assert [*inventory_breaches(), *order_breaches()] == []
    assert not PaperFile.objects.exists()
    for kind in ("delivery note", "packing slip", "invoice"):
        assert paper_pdf(Paper.objects.filter(kind=kind).first()).startswith(b"%PDF")
