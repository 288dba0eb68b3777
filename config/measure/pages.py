"""The three pages that are open all day, over bare views with the same rows and columns; and what ten years cost them.

Processor time in this process, from the request's environment to the last byte, with session and sign-in as served.
House and bare view are asked in turns, so that a machine busy with something else slows both.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from statistics import median

from django.conf import settings
from django.contrib.sessions.backends.db import SessionStore
from django.core.handlers.wsgi import WSGIHandler
from django.db import connection
from django.db.models import Count
from django.test import RequestFactory
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from config.measure import bare, past, years
from config.measure.book import made_book
from config.measure.row import Row, tell, timed
from config.models import Person
from orders.models import Order, OrderLine
from orders.models.order import CONFIRMED

OVER_BARE, OVER_YEARS = 2.0, 1.3


@dataclass
class Page:
    """What is asked of the house and of the bare view, and the milliseconds each took."""

    name: str
    address: str
    bare: str
    house_ms: list[float] = field(default_factory=list)
    bare_ms: list[float] = field(default_factory=list)
    ten_ms: list[float] = field(default_factory=list)
    queries: int = 0
    rows: int = 0


def rows(*, quick: bool = False) -> Iterator[Row]:
    size, asked = (years.SMALL, 2) if quick else (years.SEASON, 60)
    with made_book():
        tell("a season and the year before it")
        owner = years.make_season(size)
        before = past.add_year(size, owner)
        get, get_bare = asker(WSGIHandler(), owner), asker(bare.bare_handler())
        pages = _pages(get)
        _ask(pages, asked, get, get_bare)
        yield from (_over_bare(page) for page in pages)
        tell("nine years more")
        past.add_years_before(1 if quick else 9, before)
        _ask_again(pages, asked, get, get_bare)
        for page in pages:
            yield from _over_years(page, get)


def asker(handler: WSGIHandler, person: Person | None = None) -> Callable[[str], str]:
    """A function address -> text of the page, asked by this person. RuntimeError for anything but a page."""
    cookies = {settings.SESSION_COOKIE_NAME: signed_in(person)} if person else {}
    said = []

    def get(address: str) -> str:
        environ = RequestFactory().get(address).environ
        environ["HTTP_COOKIE"] = "; ".join(f"{name}={value}" for name, value in cookies.items())
        response = handler(environ, lambda status, headers: said.append(status))
        text = b"".join(response)
        response.close()
        if not said.pop().startswith("200"):
            raise RuntimeError(f"{address}: {response.status_code}")
        return text.decode()

    return get


def signed_in(person: Person) -> str:
    session = SessionStore()
    session["_auth_user_id"] = str(person.pk)
    session["_auth_user_backend"] = settings.AUTHENTICATION_BACKENDS[-1]
    session["_auth_user_hash"] = person.get_session_auth_hash()
    session.create()
    return session.session_key


def _pages(get: Callable[[str], str]) -> list[Page]:
    """The order page is that of the order for which most frames hang or are planned."""
    frames = Count("lines__want__frames", distinct=True) + Count("lines__want__planned", distinct=True)
    order = Order.objects.filter(status=CONFIRMED).annotate(frames=frames).order_by("-frames", "pk")[0]
    address = reverse("order", args=[order.number])
    bare.lay_out(order, get(address))
    return [
        Page("order book", reverse("order_book"), "/book/"),
        Page("stockroom", reverse("stockroom"), "/stock/"),
        Page("order page", address, "/order/"),
    ]


def _ask(pages: list[Page], asked: int, get, get_bare) -> None:
    for page in pages:
        page.queries, page.rows = _queries(page, get), get(page.address).count("<tr") - 1
        tell(page.name)
        for _ in range(asked):
            page.house_ms.append(1000 * timed(get, page.address)[1])
            page.bare_ms.append(1000 * timed(get_bare, page.bare)[1])


def _ask_again(pages: list[Page], asked: int, get, get_bare) -> None:
    for page in pages:
        get(page.address)
        tell(page.name)
        page.bare_ms.clear()
        for _ in range(asked):
            page.ten_ms.append(1000 * timed(get, page.address)[1])


def _queries(page: Page, get) -> int:
    with CaptureQueriesContext(connection) as asked:
        get(page.address)
    return len(asked)


def _over_bare(page: Page) -> Row:
    house, plain = median(page.house_ms), median(page.bare_ms)
    said = f"{house:.1f} ms, bare {plain:.1f} ms; {page.rows} rows, {page.queries} queries"
    return Row(f"{page.name} over a bare view", house / plain, "times", aim=OVER_BARE, note=said)


def _over_years(page: Page, get) -> Iterator[Row]:
    one, ten = median(page.house_ms), median(page.ten_ms)
    lines = OrderLine.objects.count()
    said = f"{ten:.1f} ms at {lines:,} lines, {one:.1f} ms at one year's"
    yield Row(f"{page.name} at ten years over one", ten / one, "times", aim=OVER_YEARS, note=said)
    more = _queries(page, get) - page.queries
    yield Row(f"{page.name} at ten years: queries more than at one", more, "", aim=0)
