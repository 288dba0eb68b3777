"""Rows drawn quickly say what django-tables2 itself would say, cell by cell."""

from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from functools import partial

import django_tables2 as tables
import pytest
from django.template import Context, Template
from django.utils.html import format_html
from django_tables2.utils import A

from inventory.tables.columns import DateColumn
from inventory.tables.drawing import draw_rows
from inventory.tables.stockroom import LotTable, StockTable
from orders.models import VatRate
from tests.factories import make_candle, make_lot, make_shelf, make_vat_rates

OWN_WAY = Template(
    "{% load l10n %}"
    "{% for row in table.paginated_rows %}<tr {{ row.attrs.as_html }}>\n{% for column, cell in row.items %}"
    "<td {{ column.attrs.td.as_html }}>{% if column.localize == None %}{{ cell }}{% elif column.localize %}"
    "{{ cell|localize }}{% else %}{{ cell|unlocalize }}{% endif %}</td>\n{% endfor %}</tr>\n{% endfor %}",
)


@dataclass
class Thing:
    name: str
    pairs: int | None = 3
    price: Decimal = Decimal("1.50")
    parts: tuple = ("left", "right")
    inner: object = None

    def get_absolute_url(self):
        return f"/things/?q={self.name}&all=1"

    def said(self):
        return f"{self.name} says <b>"

    @property
    def missing(self):
        raise AttributeError("no such thing")


class Things(tables.Table):
    name = tables.Column(linkify=True, attrs={"td": {"class": "x"}, "a": {"class": "y"}})
    pairs = tables.Column(default="none")
    price = tables.Column(localize=False)
    said = tables.Column(linkify=lambda record: None)
    first = tables.Column(accessor="parts__0")
    deep = tables.Column(accessor="inner__inner__name", linkify=lambda value: f"/{value}/")
    missing = tables.Column()
    bold = tables.Column(empty_values=(), attrs={"td": {"data-n": lambda record: record.pairs}})
    linked = tables.Column(accessor="pairs", linkify=("lot", [A("pairs")]))
    code = tables.TemplateColumn("{{ record.name }} of {{ row_counter }}, {{ page_says }}")

    class Meta:
        row_attrs = {"class": lambda record: "none" if record.pairs is None else "", "data-name": "<"}

    def render_bold(self, record, bound_column, bound_row):
        return format_html("<b>{}</b>", f"{record.name} {bound_column.name} {bound_row.row_counter}")


def both_ways(table_class, *rows) -> tuple[str, str]:
    drawn = []
    for draw in (draw_rows, lambda table, context: OWN_WAY.render(context)):
        table = table_class(*rows)
        table.context = context = Context({"table": table, "page_says": "hello"})
        with context.bind_template(OWN_WAY):
            drawn.append(draw(table, context))
    return tuple(drawn)


def test_plain_records_of_every_kind():
    deep = Thing("deep", inner=Thing("a", inner=Thing("b & c")))
    quick, own = both_ways(Things, [Thing("<Ann>"), Thing("Bo", pairs=None), Thing("", price=None), deep])
    assert quick == own
    assert "&lt;Ann&gt;" in quick
    assert "b &amp; c" in quick


def test_rows_that_are_dicts():
    class Dicts(tables.Table):
        name = tables.Column()
        inner = tables.Column(accessor="inner__name", default="-")
        day = tables.DateColumn(format="j M Y")

    rows = [{"name": "<", "inner__name": "short cut", "day": date(2026, 11, 2)}, {"name": "b", "inner": {"name": 1}}]
    quick, own = both_ways(Dicts, rows)
    assert quick == own
    assert "short cut" in quick


@pytest.mark.django_db
def test_rows_of_models_and_fields_with_choices():
    class Rates(tables.Table):
        class Meta:
            model = VatRate

    make_vat_rates()
    quick, own = both_ways(Rates, VatRate.objects.order_by("pk"))
    assert quick == own
    assert "standard or reduced" in quick


@pytest.mark.django_db
def test_the_stockroom_and_its_lots():
    from inventory.queries.stockroom import all_lots, stocked_candles, whole_stock

    make_lot(make_candle(shelf=make_shelf()), 0, grade="seconds", fault="bent & <b>")
    make_lot(make_candle(), 1200)
    stock_table = partial(StockTable, held=whole_stock().by_candle)
    for table, rows in ((stock_table, stocked_candles()), (LotTable, all_lots())):
        quick, own = both_ways(table, rows)
        assert quick == own
    assert "1,200" in quick


def test_an_empty_table_has_no_rows():
    assert draw_rows(Things([]), Context()) == ""


def test_days_and_moments_read_as_django_tables2_has_them():
    class Own(tables.Table):
        day = tables.DateColumn("j M Y", default="no day")
        at = tables.DateTimeColumn("j M Y, H:i", default="never")

    class Ours(tables.Table):
        day = DateColumn("j M Y", default="no day")
        at = DateColumn("j M Y, H:i", default="never")

    winter, summer = datetime(2026, 1, 1, 23, 30, tzinfo=UTC), datetime(2026, 6, 30, 23, 30, tzinfo=UTC)
    rows = [
        {"day": date(2026, 9, 3), "at": summer},
        {"day": None, "at": None},
        {"day": date(2026, 5, 31), "at": winter},
    ]
    assert draw_rows(Ours(rows), Context()) == draw_rows(Own(rows), Context())
    assert "<td >1 Jul 2026, 00:30</td>" in draw_rows(Ours(rows), Context())
    assert list(map(str, Ours(rows).as_values())) == list(map(str, Own(rows).as_values()))
