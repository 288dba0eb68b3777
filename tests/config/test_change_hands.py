import time

import pytest
from django.conf import settings
from django.contrib.auth import SESSION_KEY

from config.device import BY_PIN, DEVICE, PASSWORD_AT
from tests.factories import make_person
from tests.factories.house import PASSWORD

pytestmark = pytest.mark.django_db
HANDS = "/change-hands/"
PIN = "2580"


def with_pin(*roles, pin=PIN, **fields):
    person = make_person(*roles, **fields)
    person.set_pin(pin)
    person.save()
    return person


@pytest.fixture
def tablet(client):
    """A device Cal opened by password."""
    client.opener = make_person("packer", username="cal")
    client.post("/sign-in/", {"username": "cal", "password": PASSWORD, "next": "/you/"})
    return client


def hand_to(client, person, pin=PIN, **meta):
    return client.post(f"{HANDS}?next=/you/", {"person": person.pk, "pin": pin}, **meta)


def holder(client) -> str | None:
    return client.session.get(SESSION_KEY)


def test_name_and_pin_hand_the_tablet_over(tablet):
    bea = with_pin("dipper", full_name="Bea Orrin")
    page = tablet.get(HANDS)
    assert "Bea Orrin" in page.content.decode()
    assert hand_to(tablet, bea).url == "/you/"
    assert holder(tablet) == str(bea.pk)
    assert tablet.session[DEVICE]["by"] == tablet.opener.pk


def test_each_change_brings_a_new_session_key(tablet):
    bea, dot = with_pin("dipper"), with_pin("packer")
    keys = [tablet.session.session_key]
    for person in (bea, dot, bea, bea):
        hand_to(tablet, person)
        assert not tablet.session.exists(keys[-1])
        keys.append(tablet.session.session_key)
    assert len(set(keys)) == 5


def test_whoever_has_it_works_in_their_own_roles(tablet):
    owner = with_pin("owner")
    assert tablet.get("/set-up/").status_code == 403
    hand_to(tablet, owner)
    assert tablet.get("/set-up/").status_code == 200
    hand_to(tablet, with_pin("packer"))
    assert tablet.get("/set-up/").status_code == 403


@pytest.mark.parametrize("pin", ["", "2581", "0000", "258", "25800", "x" * 500, "2580\0", "２５８０", " "])
def test_a_wrong_pin_changes_nothing_and_keeps_the_name(tablet, pin):
    bea = with_pin("dipper")
    response = hand_to(tablet, bea, pin)
    assert response.status_code == 422
    assert response.context["form"].errors.keys() == {"pin"}
    assert response.context["form"]["person"].value() == str(bea.pk)
    assert holder(tablet) == str(tablet.opener.pk)


@pytest.mark.parametrize("person", ["", "0", "999999", "x", "1" * 400, "-1"])
def test_an_unknown_person_is_refused_at_the_field(tablet, person):
    with_pin("dipper")
    response = tablet.post(HANDS, {"person": person, "pin": PIN})
    assert response.status_code == 422
    assert "person" in response.context["form"].errors


def test_people_without_a_pin_and_those_who_left_are_not_offered(tablet):
    without, left = (
        make_person("dipper", full_name="No Pin"),
        with_pin("dipper", full_name="Has Left", is_active=False),
    )
    page = tablet.get(HANDS).content.decode()
    assert "No Pin" not in page
    assert "Has Left" not in page
    for person in (without, left):
        assert hand_to(tablet, person).status_code == 422
        assert hand_to(tablet, person, "").status_code == 422
    assert holder(tablet) == str(tablet.opener.pk)


def test_a_pin_opens_nothing_where_nobody_is_signed_in(client):
    bea = with_pin("dipper", username="bea")
    assert client.get(HANDS).url.startswith("/sign-in/")
    assert hand_to(client, bea).status_code == 403
    assert client.post("/sign-in/", {"username": "bea", "password": PIN}).status_code == 422
    assert SESSION_KEY not in client.session


def test_five_wrong_pins_lock_that_name_there_only(tablet):
    bea, dot = with_pin("dipper", username="bea"), with_pin("packer", username="dot")
    for _ in range(5):
        response = hand_to(tablet, bea, "9999")
    assert response.status_code == 429
    assert "The owner lifts the lock" in response.content.decode()
    assert hand_to(tablet, bea).status_code == 429
    assert hand_to(tablet, bea, REMOTE_ADDR="192.168.1.8").status_code == 302
    assert hand_to(tablet, dot).status_code == 302


def test_pins_and_passwords_count_together(tablet, client_for):
    bea = with_pin("dipper", username="bea")
    for _ in range(3):
        hand_to(tablet, bea, "9999")
    for _ in range(2):
        tablet.post("/sign-in/", {"username": "bea", "password": "wrong"})
    assert hand_to(tablet, bea).status_code == 429


def test_the_device_dies_with_the_password_that_opened_it(tablet):
    hand_to(tablet, with_pin("dipper"))
    assert tablet.get("/you/").status_code == 200
    tablet.opener.set_password("tallow-lane-22")
    tablet.opener.save()
    assert tablet.get("/you/").url.startswith("/sign-in/")
    assert SESSION_KEY not in tablet.session


def test_the_device_dies_when_its_opener_leaves(tablet):
    hand_to(tablet, with_pin("dipper"))
    tablet.opener.is_active = False
    tablet.opener.save()
    assert tablet.get("/you/").status_code == 302
    assert SESSION_KEY not in tablet.session


def test_changing_hands_does_not_lengthen_the_devices_life(tablet):
    until = tablet.session[DEVICE]["until"]
    assert until <= time.time() + settings.SESSION_COOKIE_AGE
    hand_to(tablet, with_pin("dipper"))
    hand_to(tablet, with_pin("packer"))
    assert tablet.session[DEVICE]["until"] == until
    session = tablet.session
    session[DEVICE] = {**session[DEVICE], "until": time.time() - 1}
    session.save()
    assert tablet.get("/you/").status_code == 302


def test_a_password_sign_in_makes_the_device_ones_own_again(tablet):
    hand_to(tablet, with_pin("owner", username="ann"))
    tablet.post("/sign-out/")
    tablet.post("/sign-in/", {"username": "ann", "password": PASSWORD, "next": "/you/"})
    assert BY_PIN not in tablet.session
    assert tablet.get("/set-up/people/").status_code == 200


def test_signing_out_ends_the_device_for_everybody(tablet):
    bea = with_pin("dipper")
    hand_to(tablet, bea)
    tablet.post("/sign-out/")
    assert hand_to(tablet, bea).status_code == 403
    assert SESSION_KEY not in tablet.session


@pytest.fixture
def ann_by_pin(tablet):
    ann = with_pin("owner", username="ann")
    hand_to(tablet, ann)
    return tablet


BEHIND_PASSWORD = ["/set-up/people/", "/set-up/people/new/", "/set-up/workshop/"]


@pytest.mark.parametrize("page", BEHIND_PASSWORD)
def test_an_owner_by_pin_gives_the_password_before(ann_by_pin, page):
    asked = ann_by_pin.get(page)
    assert asked.url == f"/password/?next={page}"
    assert ann_by_pin.get(asked.url).status_code == 200
    given = ann_by_pin.post("/password/", {"password": PASSWORD, "next": page})
    assert given.url == page
    assert ann_by_pin.get(page).status_code == 200


def test_a_person_page_and_each_of_its_actions_ask_too(ann_by_pin):
    bea = make_person("dipper")
    for action in ("", "password/", "pin/", "lift-lock/", "leaves/", "returns/"):
        response = ann_by_pin.post(f"/set-up/people/{bea.pk}/{action}", HTTP_ORIGIN="http://testserver")
        assert response.status_code == 403, action
        assert "asks for your password" in response.content.decode()
    bea.refresh_from_db()
    assert bea.is_active


def test_a_wrong_password_keeps_the_pages_shut_and_counts(ann_by_pin):
    for _ in range(4):
        assert ann_by_pin.post("/password/", {"password": "wrong"}).status_code == 422
    assert ann_by_pin.post("/password/", {"password": "wrong"}).status_code == 429
    assert ann_by_pin.post("/password/", {"password": PASSWORD}).status_code == 429
    assert ann_by_pin.get("/set-up/people/").status_code == 302


def test_a_right_password_wipes_the_slips_before_it(ann_by_pin):
    for _ in range(2):
        for _ in range(4):
            ann_by_pin.post("/password/", {"password": "wrong"})
        assert ann_by_pin.post("/password/", {"password": PASSWORD, "next": "/you/"}).status_code == 302


def test_the_password_once_given_holds_for_minutes_and_not_for_the_next_hands(ann_by_pin):
    ann_by_pin.post("/password/", {"password": PASSWORD, "next": "/you/"})
    assert ann_by_pin.get("/set-up/people/").status_code == 200
    session = ann_by_pin.session
    session[PASSWORD_AT] -= 11 * 60
    session.save()
    assert ann_by_pin.get("/set-up/people/").status_code == 302
    ann_by_pin.post("/password/", {"password": PASSWORD, "next": "/you/"})
    hand_to(ann_by_pin, with_pin("owner"))
    assert ann_by_pin.get("/set-up/people/").status_code == 302


def test_the_password_of_another_owner_does_not_do(ann_by_pin):
    make_person("owner", username="eve").set_password("another-word-9")
    assert ann_by_pin.post("/password/", {"password": "another-word-9"}).status_code == 422


def test_what_was_typed_into_a_people_form_survives_the_question(ann_by_pin):
    typed = {"full_name": "Fay Hallow", "username": "fay", "roles": ["dipper", "packer"], "password": "tallow-lane-22"}
    asked = ann_by_pin.post("/set-up/people/new/", typed, HTTP_ORIGIN="http://testserver")
    given = ann_by_pin.post("/password/", {"password": PASSWORD, "kept": asked.context["kept"]})
    page = given.content.decode()
    assert 'action="/set-up/people/new/"' in page
    assert 'name="full_name" value="Fay Hallow"' in page
    assert page.count('name="roles"') == 2
    assert "tallow-lane-22" not in page


def test_demo_people_take_over_on_loopback_only(tablet, settings):
    settings.IS_DEMO = True
    demo = with_pin("packer", is_demo=True)
    assert hand_to(tablet, demo, REMOTE_ADDR="192.168.1.9").status_code == 422
    assert hand_to(tablet, demo, HTTP_X_FORWARDED_FOR="127.0.0.1").status_code == 422
    assert hand_to(tablet, demo, REMOTE_ADDR="127.0.0.1").status_code == 302
