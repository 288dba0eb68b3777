"""A new book belongs to nobody yet: the first owner is added before anybody could sign in to add one."""

from django.core.exceptions import ValidationError
from django.db import transaction

from config.domain.people import check_password, check_pin
from config.models import Person
from inventory.domain.records import record


def has_owner() -> bool:
    """Whether somebody may sign in as owner."""
    return Person.objects.filter(owner=True, is_active=True).exists()


@transaction.atomic
def add_first_owner(*, username: str, full_name: str, password: str, pin: str = "") -> Person:
    """The owner a new book starts with. ValidationError by field, and where there is an owner already."""
    if has_owner():
        raise ValidationError("The book has an owner already, who adds everybody else under Set-up.")
    person = Person(username=username.strip().lower(), full_name=full_name.strip(), owner=True)
    check_password(password, person)
    person.set_password(password)
    if pin:
        check_pin(pin)
        person.set_pin(pin)
    person.full_clean()
    person.save()
    record(subject="person", subject_id=person.pk, what="Joined as the first owner", by=person)
    return person
