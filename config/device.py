"""A device several people share: opened by one with a password, then handed on by name and PIN.

The session keeps `device`: who opened it, the fingerprint of that person's password then, and until when it stays
open. It dies with the opener's password, with the opener's leaving, and at its end, whoever has it in hand.
"""

import time
from datetime import timedelta

from django.conf import settings
from django.contrib.auth import login
from django.utils.crypto import constant_time_compare

from config.models import Person

DEVICE, BY_PIN, PASSWORD_AT = "device", "by_pin", "password_at"
# How long the password once given keeps the people pages open on a device that was handed over.
PASSWORD_HOLDS = timedelta(minutes=10)


def open_device(request, person: Person) -> None:
    """Sign `person` in by password: this device is theirs until the session's age runs out."""
    login(request, person)
    request.session.cycle_key()
    request.session[DEVICE] = _device(person, time.time() + settings.SESSION_COOKIE_AGE)
    request.session.pop(BY_PIN, None)


def hand_over(request, person: Person) -> None:
    """Put the signed-in device into the hands of `person`, under a new session key and no longer life."""
    device = device_of(request)
    login(request, person)
    request.session.cycle_key()
    request.session[DEVICE] = device
    request.session[BY_PIN] = True
    request.session.pop(PASSWORD_AT, None)


def device_of(request) -> dict:
    """Who opened this device, as kept in the session; a session without the entry was opened by its own person."""
    kept = request.session.get(DEVICE)
    return kept or _device(request.user, request.session.get_expiry_date().timestamp())


def is_alive(request) -> bool:
    """Whether a device in other hands may stay open. True for one still in the hands that opened it."""
    if not request.session.get(BY_PIN):
        return True
    device = device_of(request)
    opener = Person.objects.filter(pk=device["by"], is_active=True).first()
    same_password = opener and constant_time_compare(device["hash"], opener.get_session_auth_hash())
    return bool(same_password) and time.time() < device["until"]


def wants_password(request) -> bool:
    """Whether the person at hand came in by PIN and has not given the password lately."""
    if not request.session.get(BY_PIN):
        return False
    return time.time() - request.session.get(PASSWORD_AT, 0) > PASSWORD_HOLDS.total_seconds()


def note_password(request) -> None:
    """The person at hand has just given the password."""
    request.session.cycle_key()
    request.session[PASSWORD_AT] = time.time()


def _device(person: Person, until: float) -> dict:
    return {"by": person.pk, "hash": person.get_session_auth_hash(), "until": until}
