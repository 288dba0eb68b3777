"""The parts every page is made of: page, rail, messages, pictures, error pages."""

import re
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.conf import settings
from django.contrib import messages
from django.contrib.messages.storage.base import Message
from django.template.loader import get_template, render_to_string
from django.urls import NoReverseMatch, reverse

from config.places import PLACE_OF
from config.roles import PLACES
from orders.cover import Cover
from tests.html import Page, build

OWNER = SimpleNamespace(is_authenticated=True, owner=True, full_name="Morwen Ashby")


@pytest.fixture
def request_of(rf):
    def make(path="/", url_name=None, user=OWNER, **query):
        request = rf.get(path, query)
        request.user = user
        request.resolver_match = SimpleNamespace(url_name=url_name)
        return request

    return make


# The page


def test_a_page_has_a_way_past_the_rail_and_one_heading(request_of):
    page = build('{% extends "base.html" %}{% block headline %}11 of 14 are covered.{% endblock %}', request_of())
    assert page.one("a", class_="skip")["attrs"]["href"] == "#main"
    assert page.one("main", id="main")
    assert page.one("h1")["text"] == "11 of 14 are covered."
    assert page.one("html")["attrs"]["lang"] == "en-GB"


def test_a_page_carries_nothing_inline(request_of):
    source = '{% extends "base.html" %}{% block content %}{% include "parts/cover_legend.html" %}{% endblock %}'
    page = build(source, request_of())
    assert not [e for e in page.elements if "style" in e["attrs"] or any(name.startswith("on") for name in e["attrs"])]
    assert not page.all("style")
    assert all("src" in script["attrs"] for script in page.all("script"))


def test_htmx_is_told_to_leave_styles_and_code_alone(request_of):
    told = build('{% extends "base.html" %}', request_of()).one("meta", name="htmx-config")["attrs"]["content"]
    assert '"includeIndicatorStyles":false' in told
    assert '"allowEval":false' in told


def test_every_sheet_and_script_of_a_page_is_a_file_of_the_house(request_of):
    from django.contrib.staticfiles import finders

    page = build('{% extends "base.html" %}', request_of())
    addresses = [e["attrs"]["href"] for e in page.all("link")] + [e["attrs"]["src"] for e in page.all("script")]
    assert len(addresses) > 8
    for address in addresses:
        assert finders.find(address.removeprefix("/static/")), address


def test_fonts_and_their_licences_lie_beside_each_other():
    fonts = Path(settings.BASE_DIR, "config/static/fonts")
    for family in ("vollkorn", "atkinson-hyperlegible-next"):
        assert "SIL Open Font License" in (fonts / f"{family}-OFL.txt").read_text()
    named = set()
    for sheet in ("fonts.css", "fonts-print.css"):
        named |= set(re.findall(r"\.\./fonts/([\w-]+\.woff2)", Path(fonts, "../css", sheet).read_text()))
    assert named == {path.name for path in fonts.glob("*.woff2")}


# The rail


def test_the_rail_shows_the_places_that_are_built(request_of):
    links = build('{% include "parts/rail.html" %}', request_of()).all("a")
    labels = {link["text"]: link["attrs"]["href"] for link in links}
    for label, name, _ in PLACES:
        try:
            url = reverse(name)
        except NoReverseMatch:
            assert label not in labels
        else:
            assert labels[label] == url


def test_a_place_without_a_page_is_left_out(request_of):
    rail = [{"label": "Moon", "name": "no_such_place", "quiet": False}]
    page = build('{% include "parts/rail.html" %}', None, rail=rail, user=OWNER)
    assert "Moon" not in [link["text"] for link in page.all("a")]


def test_the_current_place_is_told(request_of):
    within = build('{% include "parts/rail.html" %}', request_of(url_name="lot"))
    assert within.one("a", aria_current="true")["text"] == "Stockroom"
    itself = build('{% include "parts/rail.html" %}', request_of(url_name="stockroom"))
    assert itself.one("a", aria_current="page")["text"] == "Stockroom"


def test_every_page_belongs_to_a_place_of_the_rail():
    assert set(PLACE_OF.values()) <= {name for _, name, _ in PLACES}


def test_the_person_is_named_and_can_leave(request_of):
    page = build('{% include "parts/rail.html" %}', request_of())
    assert "Morwen Ashby" in page.one("div", class_="person")["text"]
    assert page.one("form", action=reverse("sign_out"))["attrs"]["method"] == "post"
    assert page.one("a", href=reverse("change_hands"))["text"] == "Change hands"


def test_nobody_signed_in_sees_no_places(request_of):
    from django.contrib.auth.models import AnonymousUser

    page = build('{% include "parts/rail.html" %}', request_of(user=AnonymousUser()))
    assert not page.all("a")
    assert not page.all("nav")


def test_the_demo_says_so(request_of):
    assert (
        "invented data" in build('{% include "parts/rail.html" %}', None, is_demo=True).one("p", class_="demo")["text"]
    )
    assert not build('{% include "parts/rail.html" %}', None, is_demo=False).all("p", class_="demo")


# Messages


def test_messages_are_sentences_with_a_role():
    told = [Message(messages.SUCCESS, "Order 2188 is confirmed."), Message(messages.ERROR, "Changed by <Tamsin>.")]
    page = build('{% include "parts/messages.html" %}', messages=told)
    assert page.one("p", role="status")["text"] == "Order 2188 is confirmed."
    assert page.one("p", role="alert")["text"] == "Changed by <Tamsin>."


# Pictures by tag


def test_pair_and_cover_tags_draw():
    candle = SimpleNamespace(length_mm=250, base_mm=22, tip_mm=16, colour=SimpleNamespace(hex="#9c2f2a"))
    page = build(
        "{% pair candle second=True %}{% cover cover width=100 %}", candle=candle, cover=Cover(sent=4, open=8)
    )
    assert page.one("title")["text"] == "second"
    assert page.one("svg", class_="cover")["attrs"]["width"] == "100"


def test_the_legend_names_every_weave():
    legend = build('{% include "parts/cover_legend.html" %}').one("p", class_="legend")["text"]
    assert " ".join(legend.split()) == "Cover: sent set aside on the floor planned open"


# Error pages


@pytest.mark.parametrize("name", ["400.html", "500.html"])
def test_pages_for_the_worst_need_nothing(name):
    page = Page(render_to_string(name))
    assert page.one("h1")["text"]


def test_the_500_leans_on_no_other_template():
    assert not re.search(r"{% (extends|include|url)", Path(get_template("500.html").origin.name).read_text())


def test_an_unknown_page_is_told_politely(client_for):
    response = client_for("packer").get("/no/such/page/")
    assert response.status_code == 404
    assert "There is nothing at this address." in response.content.decode()


def test_a_forbidden_place_names_its_roles(rf, request_of):
    from django.core.exceptions import PermissionDenied
    from django.views.defaults import permission_denied

    response = permission_denied(request_of(), PermissionDenied("This place belongs to: bookkeeper"))
    assert response.status_code == 403
    assert "This place belongs to: bookkeeper" in response.content.decode()


@pytest.mark.parametrize(
    ("reasons", "words"),
    [({"no_cookie": True}, "allow cookies"), ({"no_referer": True}, "which page"), ({}, "signed in or out")],
)
def test_a_form_without_its_seal_says_what_to_do(reasons, words):
    html = render_to_string("403_csrf.html", reasons)
    assert words in html
    assert "Go back with the browser" in html
