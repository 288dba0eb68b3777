"""Two owners who let each other go at once: one of them stays."""

from functools import partial

import pytest
from django.core.exceptions import ValidationError

from config.domain.people import let_go
from config.models import Person
from tests.factories import make_person
from tests.races.threads import together


@pytest.mark.django_db(transaction=True)
def test_two_owners_cannot_let_each_other_go():
    ann, eve = make_person("owner"), make_person("owner")
    ended = together(partial(let_go, person=ann, by=eve), partial(let_go, person=eve, by=ann))
    assert [type(end) for end in ended if isinstance(end, Exception)] == [ValidationError], ended
    assert Person.objects.filter(owner=True, is_active=True).count() == 1
