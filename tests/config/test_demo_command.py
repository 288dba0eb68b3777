"""The demo command around its loader: once, whole, and only in a book of its own. A small loader stands in here."""

import sys
from types import SimpleNamespace

import pytest
from django.core.management import CommandError, call_command

from config.models import Person
from tests.factories import make_person

pytestmark = pytest.mark.django_db(transaction=True)


@pytest.fixture
def loader(monkeypatch, settings):
    settings.IS_DEMO = True
    calls = []

    def load_demo(progress):
        progress("Hanging the frames")
        calls.append("load")
        make_person("owner", username="mara", is_demo=True)

    module = SimpleNamespace(load_demo=load_demo, ACCOUNTS=[("mara", "demo-wick-1", "owner")], calls=calls)
    monkeypatch.setitem(sys.modules, "config.demo.load", module)
    return module


def test_demo_is_loaded_once_and_says_who_signs_in(loader, capsys):
    call_command("demo", no_serve=True)
    said = capsys.readouterr().out
    assert "Hanging the frames ..." in said
    assert "The demo workshop is loaded." in said
    assert ["mara", "demo-wick-1", "owner"] in [line.split() for line in said.splitlines()]
    call_command("demo", no_serve=True)
    assert loader.calls == ["load"]


def test_demo_broken_off_leaves_nothing(loader):
    whole = loader.load_demo

    def break_off(progress):
        whole(progress)
        raise KeyboardInterrupt

    loader.load_demo = break_off
    with pytest.raises(KeyboardInterrupt):
        call_command("demo", no_serve=True)
    assert not Person.objects.exists()
    loader.load_demo = whole
    call_command("demo", no_serve=True)
    assert Person.objects.get().is_demo


def test_demo_is_served_on_loopback_only(loader, monkeypatch):
    served = []
    monkeypatch.setattr("config.management.commands.demo.serve", lambda *how: served.append(how))
    call_command("demo")
    [(host, port, environment, lines)] = served
    # Links to a shop's own view of its order lead to this machine.
    assert (host, environment) == ("127.0.0.1", {"WICKTURN_PUBLIC_ADDRESS": f"http://127.0.0.1:{port}/"})
    assert f"http://127.0.0.1:{port}/" in " ".join(lines)


def test_demo_refuses_a_book_that_is_not_its_own(loader, settings):
    settings.IS_DEMO = False
    with pytest.raises(CommandError, match="own book"):
        call_command("demo", no_serve=True)
    assert not Person.objects.exists()
