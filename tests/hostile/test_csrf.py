"""No form is taken that does not come from one of our own pages, and looking at a page writes nothing."""

import pytest
from django.conf import settings
from django.http import HttpResponse
from django.test import Client
from django.urls import resolve

from tests.factories.house import PASSWORD
from tests.hostile.house import rows_changed

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # seals and sessions are no business of the database
HERE, ELSEWHERE = "http://testserver", "https://elsewhere.example"


def refused(request, reason=""):
    return HttpResponse("no seal", status=403)


@pytest.fixture
def sealed(world):
    """The owner in a browser that is asked for the seal, as in service."""
    client = Client(enforce_csrf_checks=True)
    client.force_login(world.season.by, backend=settings.AUTHENTICATION_BACKENDS[-1])
    return client


def test_no_view_is_let_off_the_seal(world):
    for name, address in world.addresses.items():
        assert not getattr(resolve(address.partition("?")[0]).func, "csrf_exempt", False), name
    assert "django.middleware.csrf.CsrfViewMiddleware" in settings.MIDDLEWARE


def test_no_address_takes_a_post_without_the_seal_or_from_elsewhere(world, sealed, settings):
    # The house's own page of a form that came too late takes ten times as long (config/test_kept_form.py tests it).
    settings.CSRF_FAILURE_VIEW = f"{__name__}.refused"
    sealed.get("/you/")
    seal = sealed.cookies["csrftoken"].value
    before, wrong = rows_changed(), []
    for name, address in world.addresses.items():
        for fields, origin in (({}, HERE), ({"csrfmiddlewaretoken": seal}, ELSEWHERE)):
            answer = sealed.post(address, fields, HTTP_ORIGIN=origin)
            if (answer.status_code, answer.content) != (403, b"no seal"):
                wrong.append(f"{name} from {origin}: {answer.status_code}")
    assert not wrong, "\n".join(wrong)
    assert rows_changed() == before


def test_nobody_is_signed_in_by_a_form_from_elsewhere(world):
    client = Client(enforce_csrf_checks=True)
    client.get("/sign-in/")
    seal = client.cookies["csrftoken"].value
    typed = {"username": world.season.by.username, "password": PASSWORD, "csrfmiddlewaretoken": seal}
    assert client.post("/sign-in/", typed, HTTP_ORIGIN=ELSEWHERE).status_code == 403
    assert settings.SESSION_COOKIE_NAME not in client.cookies
    assert client.post("/sign-in/", typed, HTTP_ORIGIN=HERE).status_code == 302
