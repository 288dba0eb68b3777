"""Every address for every role: no error page for anybody, the sign-in for strangers, a refusal for the wrong role."""

import pytest
from django.db import connection
from django.urls import resolve

from config.roles import ROLES
from tests.every_page import every_address, is_file, opened
from tests.factories import make_person
from tests.hostile.house import rows_changed

pytestmark = pytest.mark.django_db

OPEN_TO_ALL = {"sign_in", "own_view", "own_paper"}
NO_ERROR = {200, 302, 303, 403, 404, 405}
# What looking may write: a paper's PDF or e-invoice, made when it is first opened and kept; a sheet, tried and taken
# back; the turns of a run whose clock goes on.
LOOKING_WRITES = {"paper", "own_paper", "day_papers", "e_invoice_pdf", "e_invoice_xml", "sheet_in", "carousel"}


def test_each_address_answers_each_role_without_an_error(client_for):
    _, addresses = every_address()
    # That every page's queries run on PostgreSQL, too, the owner's visit shows: the owner sees all.
    roles = ROLES if connection.vendor == "sqlite" else ("owner",)
    clients = {role: client_for(person=make_person(role)) for role in roles}
    wrong = []
    for name, address in addresses.items():
        # Making a file takes as long as all else: the owner's is made, and who else may have it is asked below.
        for role, client in (("owner", clients["owner"]),) if is_file(address) else clients.items():
            before = rows_changed()
            status = opened(client, address).status_code
            if rows_changed() != before and name not in LOOKING_WRITES:
                wrong.append(f"{role} GET {name}: wrote {rows_changed() - before} rows")
            if status not in NO_ERROR:
                wrong.append(f"{role} GET {name}: {status}")
            if role == "owner" and status in {403, 404}:
                wrong.append(f"owner is refused {name}: {status}")
    assert not wrong, "\n".join(wrong)


@pytest.mark.sqlite  # who may see what is no business of the database
def test_each_address_refuses_the_roles_it_does_not_name(client_for):
    _, addresses = every_address()
    clients = {role: client_for(person=make_person(role)) for role in ROLES if role != "owner"}
    let_in = []
    for name, address in addresses.items():
        view = resolve(address.split("?")[0]).func
        roles = getattr(view, "roles", None)
        for role, client in clients.items():
            if roles is None or role in roles:
                continue
            for method in (client.get, client.post):
                if (status := method(address).status_code) not in {403, 405}:
                    let_in.append(f"{role} {method.__name__} {name}: {status}")
    assert not let_in, "\n".join(let_in)


@pytest.mark.sqlite  # who may see what is no business of the database
def test_strangers_are_sent_to_the_sign_in(client):
    _, addresses = every_address()
    for name, address in addresses.items():
        if name in OPEN_TO_ALL:
            continue
        assert client.get(address).status_code in {302, 405}, name
        # A stranger's form is kept through the sign-in and does nothing before it.
        assert client.post(address, {"pairs": "1"}).status_code in {403, 405, 302}, name


def test_empty_posts_change_nothing_and_break_nothing(client_for):
    season, addresses = every_address()
    client = client_for(person=season.by)
    skip = {"sign_out"}
    wrong = []
    for name, address in addresses.items():
        if name in skip:
            continue
        status = client.post(address, {}).status_code
        if status >= 500:
            wrong.append(f"{name}: {status}")
    assert not wrong, "\n".join(wrong)
