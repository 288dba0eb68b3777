import django_tables2 as tables

from orders.margins import PENNY, add_up
from orders.tables.invoices import MoneyColumn

RIGHT = {"td": {"class": "num"}, "th": {"class": "num"}, "tf": {"class": "num"}}


def _all(name: str, show=str):
    def footer(table):
        return show(getattr(add_up(row.record if hasattr(row, "record") else row for row in table.data), name))

    return footer


class MarginTable(tables.Table):
    """Rows are Margin."""

    caption = "What was sold and what is left of it"
    name = tables.Column("Of", linkify=lambda record: record.url, footer="All")
    pairs = tables.Column("Pairs", attrs=RIGHT, footer=_all("pairs", lambda n: f"{n:,}"))
    sold = MoneyColumn("Sold for, GBP", footer=_all("sold", lambda a: f"{a:,.2f}"))
    cost = MoneyColumn("Cost to make", footer=_all("cost", lambda a: f"{a:,.2f}"))
    left = MoneyColumn("Left", footer=_all("left", lambda a: f"{a:,.2f}"))
    share = tables.Column("Left of it, %", attrs=RIGHT, footer=_all("share", lambda s: "" if s is None else f"{s:f}"))

    class Meta:
        empty_text = "Nothing was invoiced in these days."
        order_by = "-left"

    def render_cost(self, record, value):
        return f"{value:,.2f}" if record.whole else f"{value:,.2f} or more"

    def value_sold(self, value):
        return value.quantize(PENNY)

    value_cost = value_left = value_sold


class CostTable(tables.Table):
    """Rows are production.costing.Part."""

    caption = "What a pair costs"
    name = tables.Column("Part", footer="A pair, in all")
    basis = tables.Column("How it is reckoned")
    amount = tables.Column("Pence", attrs=RIGHT, default="not known", footer=lambda table: _pence(table.total))

    class Meta:
        orderable = False

    def __init__(self, cost, **kwargs):
        self.total = cost.total
        super().__init__(cost.parts, **kwargs)

    def render_amount(self, value):
        return _pence(value)


def _pence(pounds) -> str:
    return f"{100 * pounds:.1f}"
