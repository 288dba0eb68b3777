"""Two owners who let each other go at once: one of them stays."""

import threading

import pytest
from django.core.exceptions import ValidationError
from django.db import connection

from config.domain.people import let_go
from config.models import Person
from tests.factories import make_person


@pytest.mark.django_db(transaction=True)
def test_two_owners_cannot_let_each_other_go():
    ann, eve = make_person("owner"), make_person("owner")
    start, ended = threading.Barrier(2, timeout=20), []

    def leave(person, by):
        try:
            start.wait()
            let_go(person=person, by=by)
            ended.append("left")
        except ValidationError:
            ended.append("refused")
        finally:
            connection.close()

    threads = [threading.Thread(target=leave, args=pair) for pair in ((ann, eve), (eve, ann))]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(30)
    assert sorted(ended) == ["left", "refused"]
    assert Person.objects.filter(owner=True, is_active=True).count() == 1
