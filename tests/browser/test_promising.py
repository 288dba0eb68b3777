"""A new shop asks for a day: the rows are typed, the book says when, the owner promises, the paper goes by letter."""

from datetime import timedelta

import pytest
from django.db import transaction
from django.urls import reverse
from django.utils import timezone

from orders.audit import promised as audit
from orders.models import Letter, PromisedDate
from orders.queries.at_risk import at_risk
from tests.factories import make_shop, make_van_days
from tests.factories.trade import make_order
from tests.production.plan_floor import make_plan_floor
from tests.production.standing_plan import let_a_plan_stand

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def desk(page, sign_in):
    """The owner at the desk of a small floor with a plan that stands; nothing is in stock."""
    floor = make_plan_floor(wants=False)
    make_van_days(1, 3)
    with transaction.atomic():
        let_a_plan_stand(floor.by, now=timezone.now())
    sign_in(page, floor.by)
    return page, floor


def test_a_new_shop_is_promised_a_day(desk):
    page, floor = desk
    shop = make_shop(name="The Wick and Thread", town="Orrin Bay")
    order = make_order(shop, [(floor.taper, 30)], by=floor.by, status="draft")
    page.goto(reverse("order_entry", args=[order.number]))
    page.get_by_text("dips and 12 hours to harden take so long").wait_for()
    page.get_by_text("All of it can be ready by").wait_for()
    page.get_by_label("Ship by").fill((timezone.localdate() + timedelta(days=10)).isoformat())
    page.get_by_role("button", name="Confirm 30 pairs").click()
    page.get_by_text(f"Order {order.number} is taken").wait_for()

    page.get_by_role("link", name="Promise a day").click()
    page.get_by_role("heading", name="All of it can be ready by").wait_for()
    day = page.get_by_label("We promise it by").input_value()
    page.get_by_role("button", name="Promise it").click()
    page.get_by_text(f"is promised order {order.number}").wait_for()
    promise = PromisedDate.objects.get()
    assert promise.day.isoformat() == day
    assert promise.earliest == promise.day
    assert promise.rested_on[0]["plan"] == 30

    page.get_by_role("link", name="Acknowledge it").click()
    page.get_by_label("Send it to").fill("buyer@wick.example")
    page.get_by_role("button", name="Acknowledge it").click()
    link = page.get_by_role("link", name=f"OA-{order.number}/1").first
    assert page.request.get(link.get_attribute("href")).body().startswith(b"%PDF")
    assert [letter.to for letter in Letter.objects.all()] == ["buyer@wick.example"]
    # Nothing is planned for it before the plan is mended, and Today says so until then.
    page.goto("/")
    page.get_by_text("Plan again: the colours as they stand bring it in time").wait_for()
    assert [row.order.number for row in at_risk(timezone.localdate())] == [order.number]
    assert not list(audit.breaches())
