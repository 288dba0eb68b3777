"""Posts drawn from the forms themselves: no error page, no change on a refusal, and what is taken breaks no rule.

Another run is asked for by WICKTURN_FUZZ_SEED, the number of posts by WICKTURN_FUZZ_POSTS; a failure prints the seed.
"""

import os

import pytest

from config.roles import ROLES
from tests.every_page import every_address
from tests.factories import make_person
from tests.hostile.fuzz_run import Fuzz
from tests.hostile.fuzz_watch import watch_the_book

pytestmark = pytest.mark.django_db
SEED = int(os.environ.get("WICKTURN_FUZZ_SEED", "7"))
POSTS = int(os.environ.get("WICKTURN_FUZZ_POSTS", "500"))


def fuzz(seed: int, posts: int, client_for, client) -> Fuzz:
    watch_the_book()
    season, addresses = every_address()
    clients = {role: client_for(person=make_person(role)) for role in ROLES}
    clients["owner"] = client_for(person=season.by)
    run = Fuzz(seed, addresses, {**clients, "": client})
    run.run(posts)
    return run


def hold(run: Fuzz, seed: int) -> None:
    assert not run.complaints, "\n".join([f"WICKTURN_FUZZ_SEED={seed}, {dict(run.counted)}", *run.complaints])
    # A run that is refused everywhere would prove little.
    taken = sum(times for what, times in run.counted.items() if what.startswith("post 3"))
    assert taken > sum(run.counted.values()) / 10, dict(run.counted)


def test_drawn_posts_break_nothing(client_for, client):
    run = fuzz(SEED, POSTS, client_for, client)
    hold(run, SEED)


@pytest.mark.long
@pytest.mark.parametrize("share", range(10))
def test_many_drawn_posts_break_nothing(client_for, client, share):
    run = fuzz(SEED + 1 + share, POSTS, client_for, client)
    hold(run, SEED + 1 + share)
