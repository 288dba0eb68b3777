"""What goes out with every answer of whatever kind; strange hosts, paths out of the house, bodies without end."""

import io

import pytest
from django.conf import settings
from django.core.handlers.wsgi import WSGIRequest
from django.test import Client
from django.urls import reverse

from orders.domain.shop_links import link_for, token_of
from tests.every_page import opened
from tests.hostile.house import rows_changed

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # headers are no business of the database
SAME = {
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}


@pytest.fixture
def answers(world, owner, client, monkeypatch):
    """Of each kind one: what it is -> the answer."""
    own = reverse("own_view", args=[token_of(link_for(order=world.season.waiting.order, by=world.season.by))])
    kinds = ("paper", "order_book_csv", "books_xlsx", "take_csv", "e_invoice_xml", "kept_file")
    found = {kind: opened(owner, world.addresses[kind]) for kind in kinds}
    found |= {
        "page": owner.get("/you/"),
        "refused": owner.post("/set-up/shelves/", {"code": ""}),
        "not allowed": owner.delete("/you/"),
        "not found": owner.get("/nowhere/"),
        "wrong role": client.get("/set-up/"),
        "bad host": client.get("/you/", HTTP_HOST="elsewhere.example"),
        "too long": owner.post("/you/pin/", CONTENT_LENGTH=str(10**9)),
        "no seal": Client(enforce_csrf_checks=True).post("/sign-in/"),
        "shop's link": client.get(own),
        "style sheet": opened(client, "/static/css/base.css"),
        "health": client.get("/health/"),
    }
    monkeypatch.setattr("config.views.sign_in.SignInForm", None)
    return found | {"broken": Client(raise_request_exception=False).get("/sign-in/")}


def test_every_kind_of_answer_carries_its_headers(answers):
    said = {"broken": 500, "bad host": 400, "not found": 404, "not allowed": 405, "too long": 413, "refused": 422}
    assert {kind: answers[kind].status_code for kind in said} == said
    for kind, answer in answers.items():
        for name, value in SAME.items():
            assert answer.headers.get(name) == value, (kind, name)
        assert answer["Referrer-Policy"] == ("no-referrer" if kind == "shop's link" else "same-origin"), kind
        assert "camera=()" in answer["Permissions-Policy"], kind
        assert "Access-Control-Allow-Origin" not in answer, kind
        assert "charset" in answer["Content-Type"] or not answer["Content-Type"].startswith("text/"), kind
        has_policy(kind, answer)
        may_be_kept(kind, answer)
    for kind in ("order_book_csv", "books_xlsx", "take_csv", "e_invoice_xml", "kept_file"):
        assert answers[kind]["Content-Disposition"].startswith("attachment"), kind


def has_policy(kind: str, answer) -> None:
    policy = answer.headers.get("Content-Security-Policy", "")
    if kind == "paper":
        # Chromium would hold the policy of pages against its own viewer of PDFs.
        assert (answer["Content-Type"], policy) == ("application/pdf", "")
        return
    assert "default-src 'none'" in policy, kind
    assert "frame-ancestors 'none'" in policy, kind
    assert "unsafe" not in policy, kind


def may_be_kept(kind: str, answer) -> None:
    """No cache on the way keeps anything of the book, and the browser asks again before it shows a page twice."""
    kept = answer["Cache-Control"]
    if kind == "style sheet":
        assert kept.startswith("max-age="), kind
    elif kind in ("shop's link", "health"):
        assert "no-store" in kept, kind
    else:
        assert kept == "private, no-cache", kind


@pytest.mark.parametrize("host", ["elsewhere.example", "testserver.elsewhere.example", "testserver:80@elsewhere", ""])
def test_no_other_host_is_answered(client, host):
    for address in ("/sign-in/", "/own/x/"):
        assert client.get(address, HTTP_HOST=host, SERVER_NAME="elsewhere.example").status_code == 400


def test_a_forwarded_host_is_not_believed(client):
    answer = client.get("/you/", HTTP_X_FORWARDED_HOST="elsewhere.example")
    assert answer.status_code == 302
    assert "elsewhere" not in answer["Location"]
    assert not settings.USE_X_FORWARDED_HOST


WAYS_OUT = [
    "/static/../config/settings.py", "/static/css/../../settings.py", "/static/%2e%2e/settings.py",
    "/static/..%2fsettings.py", "/static//etc/passwd", "/static/css/%2e%2e/%2e%2e/settings.py",
    "/static/..\\settings.py", "/static/css/base.css%00.txt", "/static/css/", "/static/",
    "/.book/secret_key", "/.git/config", "/../.git/config", "/static/C:/Windows/win.ini",
]  # fmt: skip


@pytest.mark.parametrize("address", WAYS_OUT)
def test_no_address_leads_out_of_the_house(owner, address):
    assert owner.get(address).status_code == 404


class Endless(io.RawIOBase):
    """A body that fails whoever reads it."""

    def read(self, size=-1):
        raise AssertionError("the body was read")


@pytest.mark.parametrize("length", [str(12_000_001), "9" * 19, "9" * 5000])
def test_a_body_too_long_is_refused_unread_signed_in_or_not(client, owner, length):
    before = rows_changed()
    for who in (client, owner):
        for address in ("/sign-in/", "/set-up/sheets/", "/own/x/", "/nowhere/"):
            extra = {
                "CONTENT_LENGTH": length,
                "wsgi.input": Endless(),
                "CONTENT_TYPE": "multipart/form-data; boundary=x",
            }
            assert who.post(address, **extra).status_code == 413
    assert "more than 12 MB" in owner.post("/you/pin/", CONTENT_LENGTH=length).content.decode()
    assert rows_changed() == before


def test_a_body_that_does_not_say_how_long_it_is_is_not_read(rf):
    for said in ("", "-5"):
        request = WSGIRequest(
            {**rf.get("/").environ, "REQUEST_METHOD": "POST", "CONTENT_LENGTH": said, "wsgi.input": Endless()}
        )
        assert request.body == b""
