"""Posts drawn from the forms themselves: no error page, no change on a refusal, and what is taken breaks no rule.

Another run is asked for by WICKTURN_FUZZ_SEED, the number of posts by WICKTURN_FUZZ_POSTS; a failure prints the seed.
"""

import os
from contextlib import suppress
from datetime import UTC, datetime
from importlib import import_module
from types import ModuleType

import pytest
from django.contrib import messages
from django.db import transaction
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import path

from config.roles import ROLES
from tests.every_page import every_address
from tests.factories import make_person, make_shop
from tests.histories.clock import Clock
from tests.hostile import fuzz_run
from tests.hostile.fuzz_posts import Sent
from tests.hostile.fuzz_run import Fuzz
from tests.hostile.fuzz_watch import watch_the_book

pytestmark = [
    pytest.mark.django_db,
    # What django-tables2 says of any ?sort= with a dot in it; in service nobody hears it.
    pytest.mark.filterwarnings("ignore:Use '__' to separate path components"),
]
SEED = int(os.environ.get("WICKTURN_FUZZ_SEED", "7"))
POSTS = int(os.environ.get("WICKTURN_FUZZ_POSTS", "500"))


@pytest.fixture(autouse=True)
def busy_morning():
    """What is drawn today is drawn on any other day."""
    clock = Clock()
    clock.now = datetime(2026, 11, 25, 10, 0, tzinfo=UTC)
    with clock.instead_of_ours():
        yield


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


# That it would notice


def falls(request):
    raise ZeroDivisionError


def writes_and_refuses(request):
    make_shop()
    return HttpResponse(status=422)


def writes_and_says_no(request):
    make_shop()
    messages.error(request, "Nothing was changed.")
    return redirect("today")


def leads_away(request):
    return HttpResponse(status=302, headers={"Location": "//lamp.example/"})


def refuses(request):
    with suppress(ZeroDivisionError), transaction.atomic():
        make_shop()
        raise ZeroDivisionError
    return HttpResponse(status=422)


@pytest.mark.parametrize(
    ("view", "said"),
    [
        (falls, "ZeroDivisionError"),
        (writes_and_refuses, "was refused (422), and changed"),
        (writes_and_says_no, "was refused (Nothing was changed.), and changed"),
        (leads_away, "leads to //lamp.example/"),
        (refuses, None),
    ],
)
def test_it_notices(client_for, settings, view, said):
    watch_the_book()
    urls = ModuleType("urls")
    urls.urlpatterns = [path("here/", view), *import_module(settings.ROOT_URLCONF).urlpatterns]
    settings.ROOT_URLCONF = urls
    run = Fuzz(SEED, {}, {"owner": client_for("owner")})
    run.send(Sent("right", "owner", "post", "/here/"))
    assert [said in complaint for complaint in run.complaints] == ([True] if said else []), run.complaints


def test_it_notices_what_breaks_a_rule(client_for, monkeypatch):
    run = Fuzz(SEED, {}, {"owner": client_for("owner")})
    monkeypatch.setattr(fuzz_run, "stock_breaches", lambda: ["a lot of -1 pairs"])
    run.stretch(0)
    assert ["a lot of -1 pairs" in complaint for complaint in run.complaints] == [True]
