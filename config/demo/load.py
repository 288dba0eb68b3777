"""Loads the demo workshop: seeded, dated relative to today, invented throughout."""

import random
from collections.abc import Callable

from django.contrib.auth.hashers import make_password
from django.db import transaction
from django.utils import timezone

from config.demo.catalogue import make_house
from config.demo.complaints import write_complaints
from config.demo.credits import ask_before_sending, write_credits
from config.demo.floor import make_works
from config.demo.floor_now import hang_the_floor
from config.demo.history import write_history
from config.demo.labels import make_labels
from config.demo.materials import write_materials
from config.demo.open_orders import open_season
from config.demo.order_forms import write_order_forms
from config.demo.papers import write_invoices, write_notes
from config.demo.payments import write_payments
from config.demo.plan import plan_the_floor
from config.demo.prices import make_prices
from config.demo.seasons_before import write_seasons_before
from config.demo.seconds import make_seconds
from config.demo.shops import make_shops
from config.demo.wax import write_wax
from config.models import Person

SEED = 1124
PASSWORD = "beeswax-and-wick"  # noqa: S105 - printed by `demo`, and good on loopback only
# Sign-in name, name, roles, PIN. They exist in the demo's own database and answer loopback only.
PEOPLE = (
    ("edda", "Edda Marlow", ("owner",), "2580"),
    ("jonas", "Jonas Pike", ("dipper",), "1470"),
    ("tilde", "Tilde Rook", ("packer", "dipper"), "3690"),
    ("wren", "Wren Astley", ("bookkeeper",), "7410"),
)
# As `demo` prints them: sign-in name, password, PIN, who that is.
ACCOUNTS = tuple(
    (username, PASSWORD, f"PIN {pin}", f"{name}, {' and '.join(roles)}") for username, name, roles, pin in PEOPLE
)


@transaction.atomic
def load_demo(progress: Callable[[str], None] = lambda sentence: None) -> None:
    """Fill an empty, migrated database. `progress` hears a sentence at each step."""
    rng, today = random.Random(SEED), timezone.localdate()  # noqa: S311 - the same invented year every time
    people = _make_people()
    owner, packer, dippers = people["edda"], people["tilde"], (people["jonas"], people["tilde"])
    progress("Catalogue and shops")
    candles = make_house()
    shops = make_shops(rng)
    make_prices(today, candles, shops)
    works = make_works(owner)
    progress("A year of orders, frames and stock")
    deliveries = write_history(
        rng, today=today, candles=candles, shops=shops, works=works, person=packer, dippers=dippers
    )
    progress(f"Papers of {len(deliveries)} deliveries")
    write_notes(deliveries, packer, lambda done: done % 100 or progress(f"  {done} deliveries"))
    progress("Invoices")
    write_invoices(rng, deliveries, today, owner)
    dice = random.Random(SEED)  # noqa: S311 - as above, for years before those that are drawn
    write_seasons_before(dice, today=today, candles=candles, shops=shops, owner=owner)
    progress("What was paid")
    # Dice of its own, so that what follows falls as it would without.
    write_payments(random.Random(SEED), today, people["wren"])  # noqa: S311 - as above
    write_credits(today, people["wren"])
    write_complaints(today, people["wren"])
    progress("The busy weeks: open orders and what is set aside for them")
    open_season(rng, today=today, candles=candles, shops=shops, works=works, person=packer, dippers=dippers)
    ask_before_sending(today, people["wren"])
    make_seconds(shops, packer)
    progress("What candles and boxes drew from stock")
    write_materials(random.Random(SEED), today=today, owner=owner)  # noqa: S311 - as above
    write_wax(random.Random(SEED), today=today, owner=owner, dippers=dippers)  # noqa: S311 - as above
    make_labels(random.Random(SEED), today=today, by=people["jonas"])  # noqa: S311 - as above
    progress("What hangs on the floor")
    hang_the_floor(rng, works=works, owner=owner, dippers=dippers)
    progress("A dip plan that stands")
    plan_the_floor(rng, today=today, owner=owner)
    write_order_forms(today, shops, packer)


def _make_people() -> dict[str, Person]:
    """The accounts by sign-in name. One hash serves all: they share the password that `demo` prints."""
    hashed = make_password(PASSWORD)
    people = {}
    for username, name, roles, pin in PEOPLE:
        person = Person(username=username, full_name=name, password=hashed, is_demo=True, **dict.fromkeys(roles, True))
        person.set_pin(pin)
        person.save()
        people[username] = person
    return people
