"""The bare views that pages are held against: one plain query and one plain template a table, and three middlewares.

The same rows and columns with the same text as the house's page, already lying in a table of their own as plain
values: nothing is added up, nobody signs in, nothing is drawn.
"""

import re

from django.apps.registry import Apps
from django.core.handlers.wsgi import WSGIHandler
from django.db import connection, models
from django.http import HttpResponse
from django.template import Context, Engine
from django.test.utils import override_settings
from django.urls import path
from django.utils.html import strip_tags

from inventory.queries.stockroom import FIGURES, stocked_candles, with_held
from inventory.views.lists import PER_PAGE
from orders.models import Order
from orders.models.order import CONFIRMED
from orders.queries.book import entries, orders_listed
from orders.queries.order_page import records_of_order, story_of_lines

OWN = Apps()  # no table of the house, so no migration
HEAD = "<!doctype html><html lang=en><head><meta charset=utf-8><title>Bare</title></head><body><h1>Bare</h1>"


class BareOrder(models.Model):
    number = models.IntegerField()
    shop = models.CharField(max_length=80)
    town = models.CharField(max_length=80)
    ship_by = models.DateField()
    pairs = models.IntegerField()
    cover = models.CharField(max_length=120)
    stands = models.CharField(max_length=120)

    class Meta:
        apps, app_label = OWN, "measure"


class BareCandle(models.Model):
    code = models.CharField(max_length=12)
    name = models.CharField(max_length=80)
    firsts = models.IntegerField()
    aside = models.IntegerField()
    free = models.IntegerField()
    seconds = models.IntegerField()
    oldest = models.DateField(null=True)
    shelf = models.CharField(max_length=12)

    class Meta:
        apps, app_label = OWN, "measure"


class BareLine(models.Model):
    candle = models.CharField(max_length=100)
    pairs = models.IntegerField()
    cover = models.TextField()
    lots = models.TextField()
    price = models.DecimalField(max_digits=8, decimal_places=2)
    price_from = models.CharField(max_length=120)
    acts = models.TextField()

    class Meta:
        apps, app_label = OWN, "measure"


class BareRecord(models.Model):
    at = models.DateTimeField()
    person = models.CharField(max_length=80)
    what = models.CharField(max_length=400)

    class Meta:
        apps, app_label = OWN, "measure"


def _template(*tables: tuple[str, str, str]):
    """Of each table the name of its rows, its columns' names and the cells of a row."""
    parts = [
        f"<table><thead><tr><th>{columns.replace(' ', '<th>')}</tr></thead><tbody>"
        f"{{% for o in {rows} %}}<tr>{cells}</tr>\n{{% endfor %}}</tbody></table>"
        for rows, columns, cells in tables
    ]
    return Engine().from_string(f"{HEAD}{''.join(parts)}</body></html>")


BOOK = _template(
    (
        "orders",
        "Order Shop Ship-by Pairs Cover Stands",
        '<td><a href="/o/{{ o.pk }}/">{{ o.number }}</a></td><td>{{ o.shop }}, {{ o.town }}</td>'
        '<td>{{ o.ship_by|date:"j M" }}</td><td>{{ o.pairs }}</td><td>{{ o.cover }}</td><td>{{ o.stands }}</td>',
    )
)
STOCK = _template(
    (
        "candles",
        "Picture Code Candle Firsts Set-aside Free Seconds Oldest Shelf",
        '<td></td><td><a href="/l/?q={{ o.code }}">{{ o.code }}</a></td><td><a href="/c/{{ o.pk }}/">{{ o.name }}</a>'
        "</td><td>{{ o.firsts }}</td><td>{{ o.aside }}</td><td>{{ o.free }}</td><td>{{ o.seconds }}</td>"
        '<td>{{ o.oldest|date:"j M Y" }}</td><td>{{ o.shelf }}</td>',
    )
)
ORDER = _template(
    (
        "lines",
        "Picture Candle Pairs Cover From-lots Price Acts",
        '<td></td><td><a href="/c/{{ o.pk }}/">{{ o.candle }}</a></td><td>{{ o.pairs }}</td><td>{{ o.cover }}</td>'
        "<td>{{ o.lots }}</td><td>{{ o.price }} {{ o.price_from }}</td>"
        '<td><a href="/h/{{ o.pk }}/">{{ o.acts }}</a></td>',
    ),
    (
        "records",
        "When Who What",
        '<td>{{ o.at|date:"j M Y H:i" }}</td><td>{{ o.person }}</td><td>{{ o.what }}</td>',
    ),
)


def _page(template, **rows):
    return lambda request: HttpResponse(template.render(Context({name: asked() for name, asked in rows.items()})))


urlpatterns = [
    path("book/", _page(BOOK, orders=lambda: BareOrder.objects.order_by("ship_by", "pk")[:PER_PAGE])),
    path("stock/", _page(STOCK, candles=lambda: BareCandle.objects.order_by("code")[:PER_PAGE])),
    path(
        "order/",
        _page(ORDER, lines=lambda: BareLine.objects.order_by("pk"), records=lambda: BareRecord.objects.order_by("pk")),
    ),
]


def own_addresses(get_response):
    """Middleware: the addresses of this module instead of the house's."""

    def answer(request):
        request.urlconf = __name__
        return get_response(request)

    return answer


def bare_handler() -> WSGIHandler:
    with override_settings(
        MIDDLEWARE=[
            f"{__name__}.own_addresses",
            "django.middleware.security.SecurityMiddleware",
            "django.middleware.common.CommonMiddleware",
            "django.middleware.clickjacking.XFrameOptionsMiddleware",
        ]
    ):
        return WSGIHandler()


def lay_out(order: Order, page: str) -> None:
    """The bare tables, filled with what the house's pages show; `page` is the text of the order's own."""
    with connection.schema_editor() as editor:
        for table in (BareOrder, BareCandle, BareLine, BareRecord):
            editor.create_model(table)
    orders = list(orders_listed().filter(status=CONFIRMED).order_by("ship_by", "shop__rank", "number"))
    found = entries(orders)
    BareOrder.objects.bulk_create(
        BareOrder(
            number=order.number,
            shop=order.shop.name,
            town=order.shop.town,
            ship_by=order.ship_by,
            pairs=found[order.pk].cover.pairs,
            cover=found[order.pk].cover.in_words(),
            stands=found[order.pk].standing.in_words(),
        )
        for order in orders
    )
    shown = ("code", "name", *FIGURES)
    BareCandle.objects.bulk_create(
        BareCandle(shelf=str(candle.shelf), **{name: getattr(candle, name) for name in shown})
        for candle in with_held(stocked_candles(), *FIGURES)
    )
    _lay_out_order(order, page)


def _lay_out_order(order: Order, page: str) -> None:
    lines = [story.line for story in story_of_lines(order)]
    table = page[page.index("Lines of this order</caption>") :].split("</table>", 1)[0]
    rows = [[_text(cell) for cell in re.split(r"<td\b", row)[1:]] for row in table.split("<tr")[2:]]
    BareLine.objects.bulk_create(
        BareLine(candle=cells[1], pairs=line.pairs, cover=cells[3], lots=cells[4], acts=cells[6], price=line.price,
                 price_from=line.price_from)
        for line, cells in zip(lines, rows, strict=True)
    )  # fmt: skip
    BareRecord.objects.bulk_create(
        BareRecord(at=record.at, person=str(record.person), what=record.what)
        for record in records_of_order(order, order.deliveries.all())
    )


def _text(cell: str) -> str:
    """What can be read of a cell, a picture's label with it."""
    labels = re.findall(r'aria-label="([^"]*)"', cell)
    return " ".join([*labels, *strip_tags(f"<td{cell}").split()])
