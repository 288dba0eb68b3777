import pytest
from django.conf import settings
from django.contrib.auth import SESSION_KEY
from django.urls import reverse

from tests.factories import make_person
from tests.factories.house import PASSWORD

pytestmark = pytest.mark.django_db
SIGN_IN = "/sign-in/"
A_PAGE = "/you/"


def post_sign_in(client, username, password=PASSWORD, next_page=A_PAGE, **headers):
    return client.post(SIGN_IN, {"username": username, "password": password, "next": next_page}, **headers)


def test_name_and_password_open_the_book(client):
    person = make_person("packer", username="bea")
    response = post_sign_in(client, "bea")
    assert response.status_code == 302
    assert response.url == A_PAGE
    assert client.session[SESSION_KEY] == str(person.pk)


def test_capitals_and_blanks_round_the_name_do_not_matter(client):
    make_person(username="bea")
    assert post_sign_in(client, "  Bea ").status_code == 302


def test_without_next_one_lands_at_the_first_place(client):
    make_person(username="bea")
    response = post_sign_in(client, "bea", next_page="")
    assert response.url == reverse(settings.LOGIN_REDIRECT_URL)


@pytest.mark.parametrize(
    ("username", "password"),
    [
        ("bea", "wrong"),
        ("nobody", PASSWORD),
        ("", ""),
        ("bea", ""),
        ("b" * 5000, PASSWORD),
        ("bea\0", PASSWORD),
        ("bea", PASSWORD + "\0"),
        ("bea", "x" * 10_000),
        ("bea", f" {PASSWORD}"),
    ],
)
def test_anything_else_is_refused_and_the_name_stays_typed(client, username, password):
    make_person(username="bea")
    response = post_sign_in(client, username, password)
    assert response.status_code == 422
    assert SESSION_KEY not in client.session
    assert response.context["form"].errors
    assert response.context["form"]["username"].value() == username
    assert 'type="password"' in response.content.decode()
    assert f'value="{password}"' not in response.content.decode()


def test_whoever_left_does_not_come_in(client):
    make_person(username="bea", is_active=False)
    assert post_sign_in(client, "bea").status_code == 422


def test_leaving_ends_a_session_that_runs(client_for):
    client = client_for("packer")
    client.person.is_active = False
    client.person.save()
    assert client.get(A_PAGE).status_code == 302


def test_session_key_changes_so_a_planted_one_is_worth_nothing(client):
    make_person(username="bea")
    planted = client.session
    planted["planted"] = True
    planted.save()
    before = planted.session_key
    client.cookies[settings.SESSION_COOKIE_NAME] = before
    post_sign_in(client, "bea")
    assert client.session.session_key != before
    assert not client.session.exists(before)


@pytest.mark.parametrize(
    "elsewhere",
    [
        "https://elsewhere.example/",
        "//elsewhere.example/",
        "/\\elsewhere.example",
        "http:///elsewhere.example",
        "javascript:alert(1)",
        "http://testserver.elsewhere.example/",
        "\x00//elsewhere.example",
    ],
)
def test_next_never_leads_out_of_the_house(client, elsewhere):
    make_person(username="bea")
    home = reverse(settings.LOGIN_REDIRECT_URL)
    assert client.get(SIGN_IN, {"next": elsewhere}).status_code == 200
    assert post_sign_in(client, "bea", next_page=elsewhere).url == home
    assert client.get(SIGN_IN, {"next": elsewhere}).url == home


def test_a_page_asks_for_the_sign_in_and_comes_back(client):
    make_person(username="bea")
    response = client.get("/you/?tab=2")
    assert response.url == f"{SIGN_IN}?next=/you/%3Ftab%3D2"
    page = client.get(response.url)
    assert 'value="/you/?tab=2"' in page.content.decode()
    assert post_sign_in(client, "bea", next_page="/you/?tab=2").url == "/you/?tab=2"


def test_sign_out_takes_a_post(client_for):
    client = client_for("packer")
    assert client.get("/sign-out/").status_code == 405
    assert SESSION_KEY in client.session
    assert client.post("/sign-out/").url == SIGN_IN
    assert SESSION_KEY not in client.session


def test_signing_out_twice_does_no_harm(client_for):
    client = client_for("packer")
    client.post("/sign-out/")
    again = client.post("/sign-out/")
    assert again.status_code in (302, 403)
    assert SESSION_KEY not in client.session


def demo_sign_in(client, **meta):
    return post_sign_in(client, "demo-ann", **meta)


@pytest.fixture
def demo(settings):
    settings.IS_DEMO = True
    return make_person(username="demo-ann", is_demo=True)


@pytest.mark.parametrize("address", ["127.0.0.1", "127.8.8.8", "::1", "::ffff:127.0.0.1"])
def test_a_demo_account_answers_on_loopback(client, demo, address):
    assert demo_sign_in(client, REMOTE_ADDR=address).status_code == 302


@pytest.mark.parametrize("address", ["192.168.1.9", "10.0.0.1", "2001:db8::1", "", "somewhere"])
def test_a_demo_account_answers_nowhere_else(client, demo, address):
    assert demo_sign_in(client, REMOTE_ADDR=address).status_code == 422


@pytest.mark.parametrize(
    "header", ["HTTP_X_FORWARDED_FOR", "HTTP_X_REAL_IP", "HTTP_FORWARDED", "HTTP_X_FORWARDED_HOST"]
)
@pytest.mark.parametrize("peer", ["127.0.0.1", "192.168.1.9"])
def test_a_forwarded_request_is_never_loopback(client, demo, header, peer):
    assert demo_sign_in(client, REMOTE_ADDR=peer, **{header: "127.0.0.1"}).status_code == 422


def test_behind_a_proxy_nothing_is_loopback(client, demo, settings):
    settings.BEHIND_PROXY = True
    assert demo_sign_in(client, REMOTE_ADDR="127.0.0.1").status_code == 422


def test_a_demo_account_is_dead_in_ones_own_book(client, client_for, settings):
    settings.IS_DEMO = False
    person = make_person(username="demo-ann", is_demo=True)
    assert demo_sign_in(client, REMOTE_ADDR="127.0.0.1").status_code == 422
    # Nor does a session from the demo open it.
    assert client_for(person=person).get(A_PAGE).status_code == 302


def test_own_accounts_sign_in_from_anywhere_in_the_demo_too(client, settings):
    settings.IS_DEMO = True
    make_person(username="bea")
    assert post_sign_in(client, "bea", REMOTE_ADDR="192.168.1.9").status_code == 302


def test_own_password_needs_the_one_until_now(client_for):
    client = client_for("dipper")
    new = {"password": "tallow-lane-22", "password_again": "tallow-lane-22"}
    refused = client.post("/you/password/", {"old_password": "wrong", **new})
    assert refused.status_code == 422
    assert client.post("/you/password/", {"old_password": PASSWORD, **new}).status_code == 302
    client.person.refresh_from_db()
    assert client.person.check_password("tallow-lane-22")
    assert client.get(A_PAGE).status_code == 200


def test_a_new_password_ends_the_other_sessions(client_for):
    person = make_person("dipper")
    here, there = client_for(person=person), client_for(person=person)
    new = {"old_password": PASSWORD, "password": "tallow-lane-22", "password_again": "tallow-lane-22"}
    here.post("/you/password/", new)
    assert here.get(A_PAGE).status_code == 200
    assert there.get(A_PAGE).status_code == 302


@pytest.mark.parametrize(
    ("new", "again"),
    [("short", "short"), ("1234567890123", "1234567890123"), ("tallow-lane-22", "tallow-lane-23"), ("", "")],
)
def test_a_weak_or_mistyped_own_password_is_refused_at_its_field(client_for, new, again):
    client = client_for("dipper")
    response = client.post("/you/password/", {"old_password": PASSWORD, "password": new, "password_again": again})
    assert response.status_code == 422
    assert set(response.context["password_form"].errors) <= {"password", "password_again"}
    client.person.refresh_from_db()
    assert client.person.check_password(PASSWORD)


def test_own_pin_is_set_and_taken_away(client_for):
    client = client_for("dipper")
    assert client.get("/you/pin/").status_code == 405
    assert client.post("/you/pin/", {"old_password": PASSWORD, "pin": "2580"}).status_code == 302
    client.person.refresh_from_db()
    assert client.person.check_pin("2580")
    client.post("/you/pin/", {"old_password": PASSWORD, "pin": ""})
    client.person.refresh_from_db()
    assert client.person.pin == ""
