"""Who may ask what, and how: every address, every method, rows that are not there, another shop's link."""

import pytest
from django.contrib.auth.decorators import login_not_required
from django.urls import get_resolver, resolve, reverse

from inventory.views.set_up_lists import ROWS_A_PAGE
from orders.domain.shop_links import link_for, token_of
from tests.every_page import every_name
from tests.factories import make_candle, make_shelf
from tests.factories.season import ship_and_invoice
from tests.factories.trade import make_shop
from tests.hostile.house import rows_changed

pytestmark = [pytest.mark.django_db, pytest.mark.sqlite]  # who may what is no business of the database

STRANGERS_MAY = {"sign_in", "own_view", "own_paper"}
# No role is asked for here: one's own sign-in, the shared tablet, the page that shows each role its own work.
ALL_WHO_SIGNED_IN_MAY = {
    "sign_out", "change_hands", "give_password", "own_sign_in", "own_password", "own_pin",
}  # fmt: skip
OTHER_METHODS = ("put", "patch", "delete", "options", "trace")
# Taking away what is gone already is done, not missing.
DONE_BEFORE = {"dip_plan_unpin", "own_want_drop"}


def view_of(address: str):
    return resolve(address.partition("?")[0]).func


def test_each_view_names_its_roles_or_is_known_to_be_for_all(world):
    without = {name for name, address in world.addresses.items() if getattr(view_of(address), "roles", None) is None}
    assert without == STRANGERS_MAY | ALL_WHO_SIGNED_IN_MAY


def test_only_the_sign_in_and_a_shops_own_page_are_open_to_strangers(world):
    open_to_all = {
        name for name, address in world.addresses.items() if not getattr(view_of(address), "login_required", True)
    }
    assert open_to_all == STRANGERS_MAY
    assert not login_not_required(lambda request: None).login_required, "what the line above reads is still Django's"


def test_no_address_takes_another_method(world, owner):
    before = rows_changed()
    wrong = []
    for n, (name, address) in enumerate(world.addresses.items()):
        # Two of them each: what refuses one names those it takes, so it refuses the others, too.
        for method in {OTHER_METHODS[0], OTHER_METHODS[n % len(OTHER_METHODS)]}:
            answer = getattr(owner, method)(address)
            if answer.status_code != 405:
                wrong.append(f"{method} {name}: {answer.status_code}")
    assert not wrong, "\n".join(wrong)
    assert rows_changed() == before


def nowhere(name: str) -> str | None:
    """The name's address with a row that is not there; None for one that names no row."""
    ways, *_ = get_resolver().reverse_dict[name]
    _, keys = ways[0]
    # No database has room for such a key, so it is also told apart from one that merely is not there.
    return reverse(name, kwargs=dict.fromkeys(keys, 10**30)) if keys else None


def test_rows_that_are_not_there_are_told_and_never_break_a_page(world, owner):
    wrong, before = [], rows_changed()
    for name in sorted(every_name()):
        if address := nowhere(name):
            for method in (owner.get, owner.post):
                status = method(address).status_code
                if status not in {404, 405} and not (status == 302 and name in DONE_BEFORE):
                    wrong.append(f"{method.__name__} {name}: {status}")
    assert not wrong, "\n".join(wrong)
    assert rows_changed() == before


def test_a_shops_link_opens_its_own_papers_and_nothing_of_another_shop(world, client):
    by, candle = world.season.by, make_candle()
    ours, theirs = (ship_and_invoice(make_shop(), candle, by) for _ in range(2))
    tokens = {
        invoice: token_of(link_for(order=invoice.deliveries.get().delivery.order, by=by)) for invoice in (ours, theirs)
    }
    for invoice, token in tokens.items():
        for paper in (ours.paper, theirs.paper):
            status = client.get(reverse("own_paper", args=[token, paper.pk])).status_code
            assert status == (200 if paper == invoice.paper else 404)
        for method in ("post", *OTHER_METHODS):
            assert getattr(client, method)(reverse("own_view", args=[token])).status_code == 405
    assert "sessionid" not in client.cookies


ASKED = ("page", "per_page", "sort", "first", "last", "vats_more")
# A list of each kind, and each page that asks for days or vats by its address; the others ask by the same forms.
ODD_PAGES = (
    "order_book",
    "shelves",
    "bank",
    "people",
    "lot",
    "remelt",
    "day_book",
    "margins",
    "season_load",
    "wax_balance",
)
ODD = ("-1", "0", "1" + "0" * 30, "%00", "%ED%A0%80", "0001-01-01", "9999-12-31", "x")


@pytest.mark.parametrize("odd", ODD)
def test_no_page_breaks_on_what_its_address_asks(world, owner, odd):
    query = "&".join(f"{name}={odd}" for name in ASKED)
    for address in ODD_PAGES:
        answer = owner.get(f"{world.addresses[address]}?{query}")
        assert answer.status_code in {200, 422}, address


def test_how_long_a_page_is_the_house_says_and_not_the_address(world, owner):
    for number in range(60):
        make_shelf(code=f"P{number}")
    for query in ("", "?per_page=1000000", "?per_page=1"):
        page = owner.get(f"{world.addresses['shelves']}{query}")
        assert len(page.context["table"].page) == ROWS_A_PAGE
    assert len(owner.get(f"{world.addresses['shelves']}?page=99").context["table"].page) == 61 - ROWS_A_PAGE
