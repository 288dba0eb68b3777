import os
import re
import subprocess
import sys

import pytest
from csp.middleware import CSPMiddleware
from django.conf import settings
from django.http import HttpResponse
from django.urls import reverse

from config.middleware import HeadersMiddleware
from tests.conftest import ROOT
from tests.factories import make_person
from tests.factories.house import PASSWORD

PAGES = ["/sign-in/", "/you/", "/change-hands/", "/set-up/", "/set-up/people/", "/set-up/workshop/", "/nowhere/"]


@pytest.mark.django_db
@pytest.mark.parametrize("page", PAGES)
def test_every_page_has_its_headers(client_for, page):
    response = client_for("owner").get(page)
    csp = dict(part.strip().partition(" ")[::2] for part in response["Content-Security-Policy"].split(";"))
    assert csp["default-src"] == "'none'"
    assert csp["script-src"] == csp["style-src"] == "'self'"
    assert csp["form-action"] == csp["img-src"] == "'self'"
    assert csp["frame-ancestors"] == csp["base-uri"] == "'none'"
    assert "unsafe" not in response["Content-Security-Policy"]
    assert "camera=()" in response["Permissions-Policy"]
    assert response["Cross-Origin-Opener-Policy"] == "same-origin"
    assert response["Cross-Origin-Resource-Policy"] == "same-origin"
    assert response["Referrer-Policy"] == "same-origin"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["X-Frame-Options"] == "DENY"
    assert response["Cache-Control"] == "private, no-cache"


@pytest.mark.django_db
@pytest.mark.parametrize("page", PAGES)
def test_no_page_needs_what_the_policy_forbids(client_for, page):
    text = client_for("owner").get(page).content.decode()
    assert not re.search(r"<script(?![^>]*\bsrc=)", text)
    assert not re.search(r"<style|\sstyle=|\son[a-z]+=|javascript:", text)
    assert not re.search(r"(src|href)=\"(https?:)?//", text)


def through_middleware(rf, content_type):
    view = HeadersMiddleware(lambda request: HttpResponse(b"x", content_type=content_type))
    return CSPMiddleware(view)(rf.get("/"))


def test_a_pdf_is_left_to_the_browsers_viewer_and_a_page_is_not(rf):
    pdf = through_middleware(rf, "application/pdf")
    assert "Content-Security-Policy" not in pdf
    assert pdf["Cross-Origin-Resource-Policy"] == "same-origin"
    assert "Content-Security-Policy" in through_middleware(rf, "text/html")


@pytest.mark.django_db
def test_cookies_are_out_of_reach_of_scripts_and_other_sites(client):
    make_person(username="ann")
    client.post("/sign-in/", {"username": "ann", "password": PASSWORD})
    cookie = client.cookies[settings.SESSION_COOKIE_NAME]
    assert cookie["httponly"]
    assert cookie["samesite"] == "Lax"


UNDER_TLS = """
import django; django.setup()
from django.test import Client
plain = Client(HTTP_HOST="localhost").get("/sign-in/", **{extra})
print(plain.status_code, plain.headers.get("Location"))
tls = Client(HTTP_HOST="localhost").get("/sign-in/", secure=True)
print(tls.status_code, tls["Strict-Transport-Security"], tls.cookies["__Host-csrftoken"]["secure"])
from django.conf import settings
print(settings.SESSION_COOKIE_SECURE, settings.SESSION_COOKIE_NAME)
"""


def under_tls(tmp_path, extra="{}", **env):
    clean = {name: value for name, value in os.environ.items() if not name.startswith(("WICKTURN", "DATABASE"))}
    env = {**clean, "WICKTURN_DATA": str(tmp_path), "WICKTURN_SECRET_KEY": "k" * 60, **env}
    script = UNDER_TLS.replace("{extra}", extra)
    done = subprocess.run(
        [sys.executable, "-c", script], env=env, cwd=ROOT, capture_output=True, text=True, timeout=120, check=True
    )
    return done.stdout.splitlines()


def test_without_the_named_setting_everything_is_tls(tmp_path):
    plain, tls, session = under_tls(tmp_path)
    assert plain == "301 https://localhost/sign-in/"
    assert tls == "200 max-age=31536000; includeSubDomains; preload True"
    assert session == "True __Host-sessionid"


def test_a_forwarded_proto_is_believed_from_the_named_proxy_only(tmp_path):
    forwarded = '{"HTTP_X_FORWARDED_PROTO": "https"}'
    assert under_tls(tmp_path, forwarded)[0].startswith("301")
    assert under_tls(tmp_path, forwarded, WICKTURN_BEHIND_PROXY="1")[0].startswith("200")


@pytest.mark.django_db
def test_no_row_has_so_large_a_number(client_for):
    owner = client_for("owner")
    for key in (2**63 - 1, 2**63, 10**40):
        address = reverse("agreed_remove", kwargs={"pk": key, "agreed_pk": 1})
        assert owner.post(address).status_code == 404, key
