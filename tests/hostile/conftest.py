"""A world for a file of tests: made once, worked in by one test after the other, each in a transaction of its own."""

import pytest
from django.db import transaction


@pytest.fixture(scope="module")
def world(django_db_setup, django_db_blocker):
    # Models can be imported once Django is set up, which is after pytest read this file.
    from tests.hostile.house import make_world

    with django_db_blocker.unblock(), transaction.atomic():
        yield make_world()
        transaction.set_rollback(True)


@pytest.fixture
def owner(client_for, world):
    return client_for(person=world.season.by)
