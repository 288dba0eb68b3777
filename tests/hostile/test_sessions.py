"""A sign-in that was copied, planted or kept too long is worth nothing; nothing sends a person out of the house."""

import pytest
from django.conf import settings
from django.contrib.sessions.models import Session
from django.test import Client

from config.kept_form import keep_post
from tests.factories import make_person
from tests.factories.house import PASSWORD
from tests.html import Page

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # who is signed in is no business of the database
NEW = "tallow-lane-22"
A_PAGE = "/you/"


def copy_of(client: Client) -> Client:
    """Another browser with the same cookies, as somebody has who copied them."""
    thief = Client()
    thief.cookies.load(client.cookies.output(header="", sep=";"))
    return thief


def is_in(client: Client) -> bool:
    return client.get(A_PAGE).status_code == 200


def test_a_copied_cookie_dies_with_the_sign_out(client_for):
    client = client_for("packer")
    thief = copy_of(client)
    assert is_in(thief)
    answer = client.post("/sign-out/")
    assert answer["Clear-Site-Data"] == '"cache"'
    assert not is_in(thief)
    assert not Session.objects.exists()


@pytest.mark.parametrize("who", ["own", "owner's"])
def test_a_copied_cookie_dies_with_the_password(client_for, who):
    client = client_for("packer")
    thief = copy_of(client)
    if who == "own":
        client.post("/you/password/", {"old_password": PASSWORD, "password": NEW, "password_again": NEW})
        assert is_in(client)
    else:
        new = {"password": NEW, "password_again": NEW}
        client_for("owner").post(f"/set-up/people/{client.person.pk}/password/", new)
    assert not is_in(thief)


def test_a_copied_cookie_dies_with_the_next_sign_in_and_with_the_next_hands(client):
    make_person("packer", username="cal")
    bea = make_person("dipper", username="bea")
    bea.set_pin("2580")
    bea.save()
    for sent in (
        ("/sign-in/", {"username": "cal", "password": PASSWORD}),
        ("/change-hands/", {"person": bea.pk, "pin": "2580"}),
    ):
        client.get("/sign-in/")
        before = copy_of(client)
        assert client.post(*sent).status_code == 302
        assert not is_in(before)
        assert is_in(client)


def test_a_session_of_the_strangers_own_choice_is_not_opened(client):
    make_person("packer", username="cal")
    client.cookies[settings.SESSION_COOKIE_NAME] = "a" * 32
    client.post("/sign-in/", {"username": "cal", "password": PASSWORD})
    assert client.session.session_key != "a" * 32
    assert not Session.objects.filter(pk="a" * 32).exists()


def test_roles_taken_away_count_at_once(client_for):
    client = client_for("packer", "bookkeeper")
    assert client.get("/ledger/").status_code == 200
    client.person.bookkeeper = False
    client.person.save()
    assert client.get("/ledger/").status_code == 403


def test_a_forged_session_says_nothing_and_harms_nothing(client):
    for forged in ("", "../../etc/passwd", "x" * 5000, "' OR 1=1 --", "\u00e9"):
        client.cookies[settings.SESSION_COOKIE_NAME] = forged
        assert client.get(A_PAGE).status_code == 302


@pytest.mark.parametrize("elsewhere", ["//elsewhere.example/x/", "/\\elsewhere.example/", "/%2f%2felsewhere.example/"])
def test_a_kept_form_is_sent_to_no_other_house(rf, elsewhere):
    request = rf.post(elsewhere, {"a": "b"}, HTTP_ORIGIN="http://testserver")
    request.path = request.path_info = elsewhere
    kept = keep_post(request)
    page = Client().post("/sign-in/", {"username": "", "password": "", "kept": kept})
    make_person("packer", username="cal")
    client = Client()
    back = client.post("/sign-in/", {"username": "cal", "password": PASSWORD, "kept": kept})
    (form,) = [form for form in Page(back.content.decode()).all("form") if form["attrs"]["action"] != "/sign-out/"]
    action = form["attrs"]["action"]
    assert page.status_code == 422
    assert action.startswith("/")
    assert not action.startswith(("//", "/\\"))


def test_the_log_tells_who_came_and_went_by_number_alone(client, caplog):
    caplog.set_level("INFO")
    cal, bea = make_person("packer", username="calvin"), make_person("dipper", username="beatrix")
    bea.set_pin("2580")
    bea.save()
    client.post("/sign-in/", {"username": "calvin", "password": "wrong-wick-22"})
    client.post("/sign-in/", {"username": "calvin", "password": PASSWORD})
    client.post("/change-hands/", {"person": bea.pk, "pin": "2580"})
    client.post("/sign-out/")
    told = [record.getMessage() for record in caplog.records]
    own = [line for line in told if line.startswith("Person ")]
    assert own == [
        f"Person {cal.pk} signed in by password",
        f"Person {bea.pk} signed in by PIN",
        f"Person {bea.pk} signed out",
    ]
    assert sum("login failure" in line for line in told) == 1
    for secret in ("calvin", "beatrix", PASSWORD, "wrong-wick-22", "2580", "127.0.0.1"):
        assert not [line for line in told if secret in line], secret
