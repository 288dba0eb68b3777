"""Who may sign in with what. Lock-out is settled before these are asked (axes, see settings)."""

from django.conf import settings
from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.hashers import make_password

from config.addresses import is_loopback
from config.models import Person


class PasswordBackend(ModelBackend):
    """Name and password. Demo accounts have printed passwords, so they answer in the demo and on loopback only."""

    def authenticate(self, request, username=None, password=None, **kwargs):
        person = super().authenticate(request, username=username, password=password, **kwargs)
        return person if person and may_come_from(person, request) else None

    def user_can_authenticate(self, user):
        return super().user_can_authenticate(user) and (settings.IS_DEMO or not user.is_demo)


class PinBackend(PasswordBackend):
    """Name and PIN, for hands changing on a device that is signed in: only config.device asks it."""

    def authenticate(self, request, username, secret_pin):  # Django masks what has "secret" in its name
        person = Person.objects.filter(username=username).first()
        if person is None or not person.pin:
            # The same work as for a right name, so the clock does not tell who has a PIN.
            make_password(secret_pin)
            return None
        if person.check_pin(secret_pin) and self.user_can_authenticate(person) and may_come_from(person, request):
            return person
        return None


def may_come_from(person: Person, request) -> bool:
    """False for a demo account anywhere but on the machine itself."""
    return not person.is_demo or (request is not None and is_loopback(request))
