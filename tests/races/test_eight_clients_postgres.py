"""Eight people at one PostgreSQL, each a thread with a connection of its own, over all they do in a day."""

from functools import partial

import pytest

from tests.load.clients import complaints, day, done
from tests.load.kept import KINDS
from tests.load.world import build_world
from tests.races.threads import together

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]
# What needs no luck: nobody else can be quicker.
ALWAYS = {"taken", "counted", "paid", "loaded", "edit"}
HANGS = 240  # seconds for one round; eight threads share one interpreter


def work(*, seed: str, rounds: int = 1, orders: int = 16, frames: int = 8, searches: int = 2) -> set[str]:
    """Eight people's days, the book looked at after each; the kinds of change they made."""
    world, days = build_world(orders=orders, frames=frames, searches=searches), []
    for number in range(rounds):
        told = together(*(partial(day, world, name, f"{seed} {number}") for name in world.sessions), within=HANGS)
        assert [error for error in told if isinstance(error, Exception)] == []
        days += told
        assert complaints(days) == [], f"seed {seed}, round {number}"
    return done(days)


def test_eight_threads_over_all_a_day_brings():
    assert work(seed="short") >= ALWAYS


@pytest.mark.long
def test_eight_threads_for_minutes():
    did = work(seed="long", rounds=16, orders=40, frames=120, searches=6)
    assert did == {*KINDS, "set aside", "edit"}
