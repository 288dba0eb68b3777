"""A new book's first owner: from the environment, or asked for at the terminal."""

import getpass
import io
import sys

import pytest
from django.core.exceptions import ValidationError
from django.core.management import CommandError

from config.domain.first_owner import add_first_owner, has_owner
from config.management.commands.serve import NAME, PASSWORD, make_owner
from config.models import Person
from inventory.models import Record
from tests.factories import make_person

pytestmark = pytest.mark.django_db
GOOD = "beeswax-and-wick-7"


@pytest.fixture(autouse=True)
def clean_environment(monkeypatch):
    for name in (NAME, PASSWORD):
        monkeypatch.delenv(name, raising=False)


def test_first_owner_is_added_once():
    person = add_first_owner(username=" Mara ", full_name="Mara Quill", password=GOOD, pin="4071")
    assert (person.username, person.roles, person.check_pin("4071")) == ("mara", {"owner"}, True)
    assert person.check_password(GOOD)
    assert Record.objects.get(subject="person", subject_id=person.pk).person == person
    with pytest.raises(ValidationError, match="owner already"):
        add_first_owner(username="second", full_name="Second", password=GOOD)
    assert Person.objects.count() == 1


@pytest.mark.parametrize(
    ("field", "value"),
    [
        *(
            ("username", ""),
            ("username", "two words"),
            ("username", "x" * 41),
            ("full_name", ""),
            ("full_name", "x" * 81),
        ),
        *(("password", ""), ("password", "short"), ("password", "1234567890123"), ("pin", "12"), ("pin", "abcd")),
    ],
)
def test_bad_owner_is_refused_at_the_field(field, value):
    answers = {"username": "mara", "full_name": "Mara Quill", "password": GOOD, "pin": "", field: value}
    with pytest.raises(ValidationError) as refused:
        add_first_owner(**answers)
    assert field in refused.value.message_dict
    assert not has_owner()


def test_owner_who_left_or_is_none_leaves_the_book_without():
    make_person("packer")
    make_person("owner", is_active=False)
    assert not has_owner()


def test_owner_comes_from_the_environment(monkeypatch, capsys):
    monkeypatch.setenv(NAME, "mara")
    monkeypatch.setenv(PASSWORD, "short")
    with pytest.raises(CommandError, match=r"make no owner: .*too short"):
        make_owner()
    monkeypatch.setenv(PASSWORD, GOOD)
    make_owner()
    assert Person.objects.get().check_password(GOOD)
    assert GOOD not in capsys.readouterr().out


def test_without_a_terminal_the_variables_are_named(monkeypatch):
    monkeypatch.setattr(sys, "stdin", io.StringIO())
    with pytest.raises(CommandError, match=f"{NAME} and {PASSWORD}"):
        make_owner()


class Terminal(io.StringIO):
    def isatty(self):
        return True


@pytest.fixture
def typed(monkeypatch):
    """`typed(shown, hidden)`: what somebody types at the questions, and at those that don't show it."""

    def answer(shown: list[str], hidden: list[str]):
        shown, hidden = iter(shown), iter(hidden)
        monkeypatch.setattr(sys, "stdin", Terminal())
        monkeypatch.setattr("builtins.input", lambda question: next_or_end(shown))
        monkeypatch.setattr(getpass, "getpass", lambda question: next_or_end(hidden))

    return answer


def next_or_end(answers):
    try:
        return next(answers)
    except StopIteration:
        raise EOFError from None


def test_owner_is_asked_for_and_only_what_was_refused_again(typed, capsys):
    typed(["Mara Q", "Mara Quill", "mara"], [GOOD, "not the same", "short", "short", "", GOOD, GOOD])
    make_owner()
    person = Person.objects.get()
    assert (person.username, person.full_name, person.check_password(GOOD)) == ("mara", "Mara Quill", True)
    complaints = capsys.readouterr().err
    for words in ("not the same", "too short", "Small letters"):
        assert words in complaints


def test_walking_away_makes_no_owner(typed):
    typed(["mara"], [])
    with pytest.raises(CommandError, match="No owner was made"):
        make_owner()
    assert not has_owner()
