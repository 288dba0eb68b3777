"""Who works here and what they may do. Every change is on record; nobody is ever deleted."""

import re
from itertools import pairwise

from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from config.locks import lift_locks
from config.models import Person
from config.roles import ROLES
from inventory.domain.records import record
from inventory.domain.versions import check_seen

PIN = re.compile(r"[0-9]{4,8}", re.ASCII)
ONE_OWNER = "The workshop needs an owner who may sign in: make somebody else an owner first."


@transaction.atomic
def add_person(*, username: str, full_name: str, roles: set[str], password: str, pin: str, by: Person) -> Person:
    """A new person. Without a password they sign in by PIN on a shared device only; an owner needs one."""
    check_roles(roles, has_password=bool(password))
    person = Person(username=username.strip().lower(), full_name=full_name, **dict.fromkeys(roles, True))
    if pin:
        check_pin(pin)
        person.set_pin(pin)
    if password:
        check_password(password, person)
    person.set_password(password or None)
    person.full_clean()
    person.save()
    _tell(person, f"Joined as {in_words(roles)}", by)
    return person


@transaction.atomic
def change_person(*, person: Person, full_name: str, roles: set[str], seen: str, by: Person) -> Person:
    """Name and roles. StaleVersion where somebody changed them since `seen` was taken."""
    owners = _lock_owners()
    person = Person.objects.select_for_update().get(pk=person.pk)
    check_seen(person, seen, fields=("full_name", *ROLES))
    check_roles(roles, has_password=person.has_usable_password())
    if "owner" not in roles and _is_last_owner(person, owners):
        raise ValidationError({"roles": ONE_OWNER})
    told = []
    if full_name != person.full_name:
        told.append(f"Name {person.full_name} became {full_name}")
    if roles != person.roles:
        told.append(f"Works as {in_words(roles)}, before as {in_words(person.roles)}")
    person.full_name = full_name
    for role in ROLES:
        setattr(person, role, role in roles)
    person.full_clean(exclude=["password"])
    person.save(update_fields=["full_name", *ROLES])
    if told:
        _tell(person, "; ".join(told), by)
    return person


@transaction.atomic
def set_password(*, person: Person, password: str, by: Person) -> Person:
    """A new password. It ends every session of this person and every device they opened."""
    person = Person.objects.select_for_update().get(pk=person.pk)
    check_password(password, person)
    person.set_password(password)
    person.save(update_fields=["password"])
    _tell(person, "Own password changed" if by.pk == person.pk else "Password set", by)
    return person


@transaction.atomic
def set_pin(*, person: Person, pin: str, by: Person) -> Person:
    """A new PIN for a shared device, 4 to 8 digits; an empty one takes it away."""
    person = Person.objects.select_for_update().get(pk=person.pk)
    if pin:
        check_pin(pin)
    person.set_pin(pin)
    person.save(update_fields=["pin"])
    _tell(person, "PIN set" if pin else "PIN taken away", by)
    return person


@transaction.atomic
def lift_lock(*, person: Person, by: Person) -> bool:
    """Let the name try again from every address. False where it was not locked out and had no failures."""
    if not lift_locks(person.username):
        return False
    _tell(person, "Lock lifted", by)
    return True


@transaction.atomic
def let_go(*, person: Person, by: Person) -> Person:
    """The person leaves: no sign-in any more, and what they did stays on record under their name."""
    owners = _lock_owners()
    person = Person.objects.select_for_update().get(pk=person.pk)
    if not person.is_active:
        return person
    if _is_last_owner(person, owners):
        raise ValidationError(ONE_OWNER)
    person.is_active = False
    person.save(update_fields=["is_active"])
    _tell(person, "Left; may not sign in", by)
    return person


@transaction.atomic
def take_back(*, person: Person, by: Person) -> Person:
    """Somebody who had left works here again, in the roles they had."""
    person = Person.objects.select_for_update().get(pk=person.pk)
    if person.is_active:
        return person
    person.is_active = True
    person.save(update_fields=["is_active"])
    _tell(person, "Works here again; may sign in", by)
    return person


def check_roles(roles: set[str], *, has_password: bool) -> None:
    """ValidationError for no role, and for an owner who could only sign in by PIN."""
    if unknown := roles - set(ROLES):
        raise ValidationError({"roles": f"No such role: {', '.join(sorted(unknown))}."})
    if not roles:
        raise ValidationError({"roles": "Choose at least one role."})
    if "owner" in roles and not has_password:
        raise ValidationError({"roles": "An owner needs a password: set one first."})


def check_pin(pin: str) -> None:
    """ValidationError for anything but 4 to 8 digits, and for the first ones anybody would try."""
    if not PIN.fullmatch(pin):
        raise ValidationError({"pin": "4 to 8 digits, nothing else."})
    steps = {int(b) - int(a) for a, b in pairwise(pin)}
    if steps in ({0}, {1}, {-1}):
        raise ValidationError({"pin": "Too easy to guess: not one digit over and over, nor a run like 1234."})


def check_password(password: str, person: Person) -> None:
    """ValidationError, at the field, where the password is too weak for this person."""
    try:
        validate_password(password, person)
    except ValidationError as weak:
        raise ValidationError({"password": weak.messages}) from None


def in_words(roles: set[str]) -> str:
    """The roles in the house's order: "owner and packer"."""
    named = [role for role in ROLES if role in roles]
    return " and ".join(filter(None, [", ".join(named[:-1]), named[-1]])) if named else "nobody"


def _lock_owners() -> set[int]:
    """The active owners, locked, so that two people can't each take away what they think is the last but one."""
    owners = Person.objects.select_for_update().filter(owner=True, is_active=True).order_by("pk")
    return {owner.pk for owner in owners}


def _is_last_owner(person: Person, owners: set[int]) -> bool:
    return owners == {person.pk}


def _tell(person: Person, what: str, by: Person) -> None:
    record(subject="person", subject_id=person.pk, what=what, by=by)
