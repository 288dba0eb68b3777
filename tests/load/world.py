"""The book a load begins with: few pairs, many who want them, frames to count off, orders in every state."""

import json
from dataclasses import asdict, dataclass
from datetime import timedelta
from importlib import import_module

from django.conf import settings
from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
from django.db import transaction
from django.utils import timezone

from config.models import Person
from orders.domain.packing import close_boxes, start_packing, van_left
from orders.domain.setting_aside import set_aside_book, sync_wants
from orders.models import Order
from production.models import PlanSearch
from tests.factories import (
    make_box_kind,
    make_candle,
    make_carousel,
    make_colour,
    make_frame,
    make_frame_kind,
    make_hours,
    make_lot,
    make_order,
    make_recipe,
    make_shop,
    make_van_days,
    make_vat,
    make_vat_rates,
    make_wax,
    make_workshop,
)
from tests.production.standing_plan import let_a_plan_stand, make_search

PEOPLE, SHOPS, CANDLES = 8, 4, 5


@dataclass(frozen=True)
class World:
    """What a visitor must know to begin; whole numbers and words only, so that it can go to another process."""

    sessions: dict[str, str]  # a signed-in person's name: key of the session
    candles: dict[str, int]  # code: key
    shops: list[int]
    lots: list[int]
    searches: list[int]  # with a plan found that nobody has taken over
    first_order: int
    last_order: int
    last_delivery: int
    until: str  # the ship-by date of new orders, as forms take it

    def as_json(self) -> str:
        return json.dumps(asdict(self))


def read_world(text: str) -> World:
    return World(**json.loads(text))


@transaction.atomic
def build_world(*, orders: int = 24, frames: int = 24, searches: int = 4, pairs: int = 40) -> World:
    """`orders` of one to three lines, a third of them packed or gone; `pairs` on each of two lots a candle, which is
    far less than they want.
    """
    make_workshop(), make_van_days(0, 1, 2, 3, 4), make_vat_rates(), make_hours()
    make_box_kind(name="Standard box", standard=True)
    people = [_person(f"hand{n}") for n in range(PEOPLE)]
    by, today = people[0], timezone.localdate()
    candles, kind = _floor(), make_frame_kind()
    shops = [make_shop(name=f"Shop {letter}", carriage="8.50", complete_only=letter == "D") for letter in "ABCD"]
    lots = [make_lot(candle, pairs, by=by, made_on=today - timedelta(days=9)) for candle in candles for _ in (1, 2)]
    made = [_order(n, shops, candles, by, today) for n in range(orders)]
    set_aside_book(by=by)
    last = _send_some(made[: orders // 3], by, today)
    for n in range(frames):
        _frame(candles[n % CANDLES], kind, by)
    _plan(by, searches)
    return World(
        sessions={person.username: _session(person) for person in people},
        candles={candle.code: candle.pk for candle in candles},
        shops=[shop.pk for shop in shops],
        lots=[lot.pk for lot in lots],
        searches=list(PlanSearch.objects.order_by("pk").values_list("pk", flat=True)),
        first_order=made[0].number,
        last_order=made[-1].number,
        last_delivery=last,
        until=(today + timedelta(days=12)).isoformat(),
    )


def _person(name: str) -> Person:
    # Nobody signs in by a password here: hashing eight of them would take longer than all the rest.
    person = Person(username=name, full_name=name.capitalize(), owner=True)
    person.set_unusable_password()
    person.save()
    return person


def _session(person: Person) -> str:
    """The key of a session in which the person is signed in, as the sign-in page would have left it."""
    store = import_module(settings.SESSION_ENGINE).SessionStore()
    store[SESSION_KEY] = str(person.pk)
    store[BACKEND_SESSION_KEY] = settings.AUTHENTICATION_BACKENDS[-1]
    store[HASH_SESSION_KEY] = person.get_session_auth_hash()
    store.save()
    return store.session_key


def _floor() -> list:
    """Candles of two colours, a vat of each with a carousel."""
    wax, colours = make_wax(name="Paraffin"), [make_colour(name=name) for name in ("Ivory", "Winter red")]
    for colour in colours:
        make_vat(wax=wax, colour=colour, name=f"{colour.name} vat"), make_carousel()
    candles = [make_candle(code=f"LD{n}", wax=wax, colour=colours[n % 2]) for n in range(CANDLES)]
    for candle in candles:
        make_recipe(candle)
    return candles


def _order(n: int, shops, candles, by, today) -> Order:
    lines = [(candles[(n + step) % CANDLES], 6 + 3 * ((n + step) % 4)) for step in range(1 + n % 3)]
    order = make_order(shops[n % SHOPS], lines, by=by, ship_by=today + timedelta(days=3 + n % 9))
    sync_wants(order)
    return order


def _send_some(orders: list[Order], by, today) -> int:
    """Half of those that can go wait packed, half are gone; the key of the last delivery, 0 where there is none."""
    last = 0
    for place, order in enumerate(orders):
        order.refresh_from_db()
        if order.shop.complete_only or not order.lines.filter(set_aside__gt=0).exists():
            continue
        delivery = start_packing(order=order, by=by)
        delivery = close_boxes(delivery=delivery, version=delivery.version, by=by)
        if place % 2:
            van_left(delivery=delivery, version=delivery.version, on=today, by=by)
        last = delivery.pk
    return last


def _frame(candle, kind, by):
    off = timezone.now() - timedelta(days=3)
    return make_frame(candle, "off", by=by, kind=kind, off_at=off, hard_at=off + timedelta(days=1))


def _plan(by, searches: int) -> None:
    now = timezone.now()
    let_a_plan_stand(by, now)
    for n in range(searches):
        # Asked after the plan that stands was made, and after each other.
        make_search(by, now=now + timedelta(days=1, seconds=n))
