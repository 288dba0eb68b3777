"""Which passwords are taken, and that each of their signs counts."""

import pytest

from tests.factories import make_person
from tests.factories.house import PASSWORD

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # a password is no business of the database
LONG = "wick and wax, dipped and hung; " * 5
GOOD = [LONG[:64], LONG[:128], "Kerzen, Größe ✶ 燭", "       12 dips       ", "beeswaxandwicks", "'; DROP TABLE x; --"]
BAD = [
    "wick-and-wa", LONG[:129], "123456789012345", "passwordpassword", "1q2w3e4r5t6y", "beatrix-orrin", "Beatrix Orrin",
    "            ", "wickwickwickwick", "wick\0and\0wax-1",
]  # fmt: skip


@pytest.fixture
def bea(client_for):
    return client_for(person=make_person("packer", username="beatrix.orrin", full_name="Beatrix Orrin"))


def change(client, password: str):
    sent = {"old_password": PASSWORD, "password": password, "password_again": password}
    return client.post("/you/password/", sent)


@pytest.mark.parametrize("password", GOOD)
def test_long_ones_in_any_script_are_taken_whole(client, bea, password):
    assert change(bea, password).status_code == 302
    for given, status in ((password[:-1], 422), (password + "x", 422), (password.swapcase(), 422), (password, 302)):
        answer = client.post("/sign-in/", {"username": "beatrix.orrin", "password": given, "next": "/you/"})
        assert answer.status_code == status or given == password.swapcase() == password, given


@pytest.mark.parametrize("password", BAD)
def test_short_common_and_plain_ones_are_refused_beside_their_field(bea, password):
    refused = change(bea, password)
    assert refused.status_code == 422
    assert "password" in refused.context["password_form"].errors
    assert f'value="{password}"' not in refused.content.decode()
    bea.person.refresh_from_db()
    assert bea.person.check_password(PASSWORD)


def test_what_is_kept_of_a_password_is_a_slow_salted_hash():
    """The tests hash quickly; what a book uses is Django's own first choice, unless the settings say otherwise."""
    from django.conf import global_settings
    from django.contrib.auth.hashers import get_hasher
    from django.utils.module_loading import import_string

    first = import_string(global_settings.PASSWORD_HASHERS[0])()
    assert first.algorithm == "pbkdf2_sha256"
    assert first.iterations >= 600_000
    assert first.salt_entropy >= 128
    assert get_hasher().algorithm == "md5", "of the tests alone: config/settings.py sets it where pytest is loaded"
