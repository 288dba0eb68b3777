"""Loading the demo: what `manage.py demo` does between laying the tables out and serving."""

from collections.abc import Iterator

from config.demo.catalogue import make_house
from config.demo.load import load_demo
from config.measure.book import made_book
from config.measure.row import Row, tell, timed
from orders.models import OrderLine

MOST_S = 30


def rows(*, quick: bool = False) -> Iterator[Row]:
    with made_book(IS_DEMO=True):
        load, what = (make_house, "the catalogue of the demo") if quick else (_load, "load the demo")
        took = timed(load)[1]
        said = f"{OrderLine.objects.count():,} order lines; processor time, SQLite"
    yield Row(what, took, "s", aim=MOST_S, note=said)


def _load() -> None:
    load_demo(tell)
