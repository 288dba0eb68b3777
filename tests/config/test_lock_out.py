from datetime import timedelta

import pytest
from axes.models import AccessAttempt
from django.utils import timezone

from config.locks import locked_addresses
from inventory.models import Record
from tests.factories import make_person
from tests.factories.house import PASSWORD

pytestmark = pytest.mark.django_db
HERE, THERE = "192.168.1.7", "192.168.1.8"


def try_sign_in(client, username="bea", password=PASSWORD, address=HERE, **meta):
    data = {"username": username, "password": password, "next": "/you/"}
    return client.post("/sign-in/", data, REMOTE_ADDR=address, **meta)


def fail(client, times=5, **options):
    for _ in range(times):
        response = try_sign_in(client, password="wrong", **options)
    return response


@pytest.fixture
def bea():
    return make_person("packer", username="bea", full_name="Bea Orrin")


def test_four_failures_leave_the_name_open(client, bea):
    assert fail(client, 4).status_code == 422
    assert try_sign_in(client).status_code == 302


def test_the_fifth_failure_locks_and_says_who_lifts_it(client, bea):
    response = fail(client)
    assert response.status_code == 429
    assert "The owner lifts the lock" in response.content.decode()
    right = try_sign_in(client)
    assert right.status_code == 429
    assert "The owner lifts the lock" in right.content.decode()


def test_another_name_from_the_same_address_still_signs_in(client, bea):
    make_person("dipper", username="cal")
    fail(client)
    assert try_sign_in(client, username="cal").status_code == 302


def test_the_same_name_from_another_address_still_signs_in(client, bea):
    fail(client)
    assert try_sign_in(client, address=THERE).status_code == 302


def test_another_browser_does_not_start_afresh(client, bea):
    fail(client, 3, HTTP_USER_AGENT="one")
    fail(client, 2, HTTP_USER_AGENT="two")
    assert try_sign_in(client, HTTP_USER_AGENT="three").status_code == 429


def test_a_forged_header_does_not_start_afresh(client, bea):
    for n in range(5):
        fail(client, 1, HTTP_X_FORWARDED_FOR=f"10.0.0.{n}")
    assert try_sign_in(client).status_code == 429


def test_behind_the_proxy_the_address_is_the_one_the_proxy_wrote(client, bea, settings):
    settings.BEHIND_PROXY = True
    # The first entry is whatever the visitor sent along; the last is the proxy's own.
    fail(client, 5, HTTP_X_FORWARDED_FOR=f"10.9.9.9, {HERE}")
    assert try_sign_in(client, HTTP_X_FORWARDED_FOR=HERE).status_code == 429
    assert try_sign_in(client, HTTP_X_FORWARDED_FOR=THERE).status_code == 302


def test_capitals_do_not_make_another_name(client, bea):
    for name in ("bea", "Bea", "BEA", " bea", "bEa"):
        fail(client, 1, username=name)
    assert try_sign_in(client).status_code == 429


def test_a_name_nobody_has_is_locked_in_the_same_words(client, bea):
    nobody = fail(client, username="zed")
    assert nobody.status_code == 429
    assert "The owner lifts the lock" in nobody.content.decode()


def test_a_right_password_wipes_the_failures_before_it(client, bea):
    fail(client, 4)
    try_sign_in(client)
    fail(client, 4)
    assert try_sign_in(client).status_code == 302


def test_the_owner_sees_the_lock_and_lifts_it(client, client_for, bea):
    fail(client)
    owner = client_for("owner")
    assert f"is locked out from {HERE}" in owner.get(f"/set-up/people/{bea.pk}/").content.decode()
    assert "Bea Orrin is locked out." in owner.get("/set-up/people/").content.decode()
    assert owner.post(f"/set-up/people/{bea.pk}/lift-lock/").status_code == 302
    assert try_sign_in(client).status_code == 302
    assert Record.objects.filter(subject="person", subject_id=bea.pk, what="Lock lifted", person=owner.person).exists()


def test_lifting_takes_the_ladder(client, client_for, bea):
    fail(client)
    address = f"/set-up/people/{bea.pk}/lift-lock/"
    assert client_for("owner").get(address).status_code == 405
    for role in ("dipper", "packer", "bookkeeper"):
        assert client_for(role).post(address).status_code == 403
    assert locked_addresses() == {"bea": [HERE]}
    owner = client_for("owner")
    owner.post(address)
    owner.post(address)
    assert Record.objects.filter(what="Lock lifted").count() == 1


def test_the_lock_ends_by_itself_after_an_hour(client, bea):
    fail(client)
    AccessAttempt.objects.update(attempt_time=timezone.now() - timedelta(minutes=61))
    assert locked_addresses() == {}
    assert try_sign_in(client).status_code == 302


def test_trying_on_while_locked_does_not_prolong_it(client, bea):
    fail(client)
    before = AccessAttempt.objects.get().attempt_time
    fail(client, 3)
    assert AccessAttempt.objects.get().attempt_time == before


def test_nothing_typed_beside_the_name_is_kept_of_a_failure(client, bea):
    data = {"username": "bea", "password": "secret-word", "kept": "some-kept-form", "pin": "2580"}
    client.post("/sign-in/", data, REMOTE_ADDR=HERE)
    kept = AccessAttempt.objects.get().post_data
    assert not any(typed in kept for typed in ("secret-word", "some-kept-form", "2580"))


def test_locks_of_all_people_are_one_query(bea, client, django_assert_num_queries):
    fail(client)
    with django_assert_num_queries(1):
        assert locked_addresses() == {"bea": [HERE]}
