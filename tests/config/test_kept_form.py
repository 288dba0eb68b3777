"""Invariant 9 with an expired sign-in and with a failed CSRF check: the form comes back filled."""

import html
import re
from datetime import timedelta

import pytest
from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.core import signing
from django.test import Client

from config import kept_form
from config.models import Person
from inventory.models import Shelf
from tests.factories import make_person, make_shelf
from tests.factories.house import PASSWORD
from tests.html import Page

pytestmark = pytest.mark.django_db
HERE = "http://testserver"
SHELVES = "/set-up/shelves/"
TYPED = {"code": "A7", "walk": "7", "note": 'by the "door" <b>\nleft & high'}


@pytest.fixture
def ann():
    return make_person("owner", username="ann")


def sign_in(client, kept="", **extra):
    data = {"username": "ann", "password": PASSWORD, "next": "/you/", "kept": kept, **extra}
    return client.post("/sign-in/", data)


def form_in(response) -> tuple[str, dict[str, list[str]]]:
    """The page's first form in <main>, as a browser without JavaScript would send it: (action, fields)."""
    page = response.content.decode().partition("<main")[2]
    action = re.search(r'<form method="post" action="([^"]*)"', page)
    fields: dict[str, list[str]] = {}
    for tag in re.findall(r"<input[^>]*type=\"hidden\"[^>]*>", page.partition("</form>")[0]):
        name, value = re.search(r'name="([^"]*)"', tag)[1], re.search(r'value="([^"]*)"', tag, re.DOTALL)[1]
        fields.setdefault(html.unescape(name), []).append(html.unescape(value))
    return html.unescape(action[1]), fields


def what_it_carries(response) -> set[str]:
    """Names and values of every field of the page, the seal apart: its random letters may spell anything."""
    fields = [e["attrs"] for e in Page(response.content.decode()).elements if e["tag"] in ("input", "textarea")]
    kept = [field for field in fields if field.get("name") != "csrfmiddlewaretoken"]
    return {text for field in kept for text in (field.get("name"), field.get("value")) if text}


def test_a_form_sent_after_the_sign_in_ran_out_comes_back_and_is_sent_again(client, ann):
    late = client.post(SHELVES, TYPED, HTTP_ORIGIN=HERE)
    assert late.status_code == 403
    assert "Your sign-in ran out; your form did not." in late.content.decode()
    action, fields = form_in(late)
    back = client.post(action, {**fields, "username": "ann", "password": PASSWORD})
    assert "Your form is still here: send it again." in back.content.decode()
    assert not Shelf.objects.exists()
    action, fields = form_in(back)
    assert action == SHELVES
    assert client.post(action, fields).status_code == 302
    shelf = Shelf.objects.get()
    assert (shelf.code, shelf.walk, shelf.note.replace("\r", "")) == ("A7", 7, TYPED["note"])


def test_a_wrong_password_on_the_way_loses_nothing(client, ann):
    _, fields = form_in(client.post(SHELVES, TYPED, HTTP_ORIGIN=HERE))
    refused = client.post("/sign-in/", {**fields, "username": "ann", "password": "not-it-9"})
    assert refused.status_code == 422
    _, again = form_in(refused)
    assert again["kept"] == fields["kept"]
    back = client.post("/sign-in/", {**again, "username": "ann", "password": PASSWORD})
    assert form_in(back)[1]["code"] == ["A7"]


def test_query_and_repeated_fields_come_back_in_order(client, ann):
    kept = client.post(f"{SHELVES}?page=2&sort=walk", {"row": ["3", "1", "3"], "b": ""}, HTTP_ORIGIN=HERE)
    action, fields = form_in(sign_in(client, kept.context["kept"]))
    assert action == f"{SHELVES}?page=2&sort=walk"
    assert fields["row"] == ["3", "1", "3"]
    assert fields["b"] == [""]


def test_secrets_are_never_carried_along(client, ann):
    secrets = {
        "password": "aaa-1",
        "old_password": "aaa-2",
        "new_password1": "aaa-3",
        "password_again": "aaa-4",
        "pin": "aaa-5",
        "csrfmiddlewaretoken": "aaa-6",
    }
    kept = client.post(SHELVES, {**TYPED, **secrets, "shipping": "by van", "spin": "left"}, HTTP_ORIGIN=HERE)
    fields = dict(kept_form.read_kept(kept.context["kept"]).fields)
    assert set(fields) == {*TYPED, "shipping", "spin"}
    assert "aaa-" not in kept.content.decode()


@pytest.mark.parametrize(
    "origin",
    [
        {"HTTP_ORIGIN": "https://elsewhere.example"},
        {"HTTP_ORIGIN": "null"},
        {"HTTP_ORIGIN": "http://testserver.elsewhere.example"},
        {"HTTP_ORIGIN": "https://elsewhere.example", "HTTP_REFERER": f"{HERE}/"},
        {"HTTP_REFERER": "https://elsewhere.example/testserver"},
        {"HTTP_REFERER": "http://[broken"},
        {},
    ],
)
def test_only_a_form_from_our_own_pages_is_kept(client, ann, origin):
    response = client.post(SHELVES, TYPED, **origin)
    assert response.status_code == 403
    assert response.context["kept"] == ""
    assert not what_it_carries(response) & {"code", TYPED["code"]}
    assert "browser’s back button" in response.content.decode()


def test_a_referrer_of_ours_does_where_the_browser_sends_no_origin(client, ann):
    assert client.post(SHELVES, TYPED, HTTP_REFERER=f"{HERE}{SHELVES}").context["kept"]


def test_what_is_too_long_is_said_and_not_half_kept(client, ann):
    response = client.post(SHELVES, {"note": "x" * (kept_form.MOST_CHARACTERS + 1)}, HTTP_ORIGIN=HERE)
    assert response.status_code == 403
    assert response.context["kept"] == ""
    assert "browser’s back button" in response.content.decode()


def test_a_long_pasted_block_is_kept_whole(client, ann):
    block = "\n".join(f"{n} x ivory taper {n}" for n in range(20_000))
    kept = client.post(SHELVES, {"note": block}, HTTP_ORIGIN=HERE).context["kept"]
    assert form_in(sign_in(client, kept))[1]["note"] == [block]


@pytest.mark.parametrize("kept", ["forged", "a:b:c", "\0", "x" * 100_000, "Ü"])
def test_a_forged_form_is_not_carried(client, ann, kept):
    assert sign_in(client, kept).url == "/you/"


def test_a_form_signed_for_something_else_is_not_carried(client, ann):
    kept = signing.dumps(["/sign-out/", [["a", ["b"]]]], salt="another purpose")
    assert sign_in(client, kept).url == "/you/"


def test_a_kept_form_grows_too_old(client, ann, monkeypatch):
    kept = client.post(SHELVES, TYPED, HTTP_ORIGIN=HERE).context["kept"]
    assert kept_form.read_kept(kept)
    monkeypatch.setattr(kept_form, "OLDEST_SECONDS", timedelta(seconds=-1).total_seconds())
    assert kept_form.read_kept(kept) is None


def test_a_form_from_before_somebody_took_the_device_over_comes_back(ann):
    client = Client(enforce_csrf_checks=True)
    client.force_login(ann, backend=settings.AUTHENTICATION_BACKENDS[-1])
    client.get("/you/")
    late = client.post(SHELVES, {**TYPED, "csrfmiddlewaretoken": "x" * 64}, HTTP_ORIGIN=HERE)
    assert late.status_code == 403
    assert "Your form is still here: send it again." in late.content.decode()
    action, fields = form_in(late)
    assert client.post(action, fields, HTTP_ORIGIN=HERE).status_code == 302
    assert Shelf.objects.get().code == "A7"


def test_a_forged_request_gets_no_form_to_send_again(ann):
    client = Client(enforce_csrf_checks=True)
    client.force_login(ann, backend=settings.AUTHENTICATION_BACKENDS[-1])
    response = client.post(SHELVES, TYPED, HTTP_ORIGIN="https://elsewhere.example")
    assert response.status_code == 403
    assert not what_it_carries(response) & {"code", TYPED["code"]}
    assert not Shelf.objects.exists()


def test_a_sign_in_page_that_grew_old_keeps_its_form(ann):
    kept = Client().post(SHELVES, TYPED, HTTP_ORIGIN=HERE).context["kept"]
    client = Client(enforce_csrf_checks=True)
    stale = client.post("/sign-in/", {"username": "ann", "password": PASSWORD, "kept": kept}, HTTP_ORIGIN=HERE)
    assert stale.status_code == 403
    assert SESSION_KEY not in client.session
    action, fields = form_in(stale)
    assert fields["kept"] == [kept]
    back = client.post(action, {**fields, "username": "ann", "password": PASSWORD}, HTTP_ORIGIN=HERE)
    assert form_in(back)[1]["code"] == ["A7"]


def test_neither_signed_in_nor_a_fresh_page_still_loses_nothing(ann):
    client = Client(enforce_csrf_checks=True)
    late = client.post(SHELVES, TYPED, HTTP_ORIGIN=HERE)
    action, fields = form_in(late)
    back = client.post(action, {**fields, "username": "ann", "password": PASSWORD}, HTTP_ORIGIN=HERE)
    action, fields = form_in(back)
    assert client.post(action, fields, HTTP_ORIGIN=HERE).status_code == 302
    assert Shelf.objects.get().code == "A7"


def test_a_restart_with_another_key_loses_nothing(client, ann, settings):
    sign_in(client)
    settings.SECRET_KEY = "made up at the next start, as without a kept key"
    late = client.post(SHELVES, TYPED, HTTP_ORIGIN=HERE)
    action, fields = form_in(late)
    back = client.post(action, {**fields, "username": "ann", "password": PASSWORD})
    assert form_in(back)[1]["code"] == ["A7"]


def test_a_part_of_a_page_says_it_and_leaves_the_page_alone(client, ann):
    headers = {"HTTP_HX_REQUEST": "true", "HTTP_HX_CURRENT_URL": f"{HERE}/set-up/shelves/?a=1"}
    for send in (client.get, client.post):
        part = send(SHELVES, **headers)
        assert part.status_code == 200
        assert part["HX-Retarget"] == "#messages"
        assert "/sign-in/?next=%2Fset-up%2Fshelves%2F" in part.content.decode()
        assert "<html" not in part.content.decode()


def test_a_part_of_an_old_page_says_it_too(ann):
    client = Client(enforce_csrf_checks=True)
    client.force_login(ann, backend=settings.AUTHENTICATION_BACKENDS[-1])
    part = client.post(SHELVES, TYPED, HTTP_HX_REQUEST="true", HTTP_ORIGIN=HERE)
    assert part["HX-Retarget"] == "#messages"
    assert not Shelf.objects.exists()


def test_a_refused_form_after_coming_back_still_stands_filled(client, ann):
    make_shelf(code="A7")
    kept = client.post(SHELVES, TYPED, HTTP_ORIGIN=HERE).context["kept"]
    action, fields = form_in(sign_in(client, kept))
    refused = client.post(action, fields)
    assert refused.status_code == 422
    assert refused.context["form"]["note"].value().replace("\r", "") == TYPED["note"]
    assert Person.objects.count() == 1
