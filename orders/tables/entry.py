"""The rows of order entry, and the drafts begun."""

import django_tables2 as tables
from django.utils.html import format_html

from inventory.pair_svg import draw_pair_of
from inventory.tables.columns import DateColumn
from orders.models import Order


def _cell(name: str, css: str = "") -> dict:
    """A cell the page renews by its id while one types; the cells with a field in them are left alone."""
    return {"td": {"id": lambda record: f"r{record.n}-{name}", "data-live": "", "class": css}, "th": {"class": css}}


def _unseen(words: str):
    return format_html('<span class="unseen">{}</span>', words)


class EntryTable(tables.Table):
    """Rows are PageRow."""

    caption = "Rows of this order"
    picture = tables.Column(_unseen("Picture"), accessor="n", attrs=_cell("picture", "pair"))
    code = tables.TemplateColumn(template_name="orders/cells/entry_code.html", verbose_name="Code or name")
    said = tables.TemplateColumn(
        template_name="orders/cells/entry_said.html", verbose_name="Candle", attrs=_cell("said", "said")
    )
    pairs = tables.TemplateColumn(
        template_name="orders/cells/entry_pairs.html", attrs={"td": {"class": "num"}, "th": {"class": "num"}}
    )
    cover = tables.TemplateColumn(template_name="orders/cells/entry_cover.html", attrs=_cell("cover", "cover"))
    how = tables.TemplateColumn(
        template_name="orders/cells/entry_how.html", verbose_name="Filled from, ready by", attrs=_cell("how", "why")
    )
    price = tables.TemplateColumn(template_name="orders/cells/entry_price.html", attrs=_cell("price", "num price"))
    strike = tables.TemplateColumn(
        template_name="orders/cells/entry_strike.html", verbose_name=_unseen("Strike out"), attrs=_cell("strike")
    )

    class Meta:
        orderable = False
        row_attrs = {"data-row": lambda record: record.n, "class": lambda record: "doubt" if record.why else ""}

    def __init__(self, rows, *, second: bool):
        self.second = second
        super().__init__(rows)

    def render_picture(self, record):
        candle = record.candle
        if candle is None:
            return ""
        return draw_pair_of(candle, second=self.second)


class TheirsTable(tables.Table):
    """Rows are TypedRow: what somebody else has kept of the same draft."""

    caption = "Rows as they kept them"
    candle = tables.Column()
    pairs = tables.Column(attrs={"td": {"class": "num"}, "th": {"class": "num"}})

    class Meta:
        orderable = False
        empty_text = "No rows."


class DraftTable(tables.Table):
    caption = "Drafts begun"
    number = tables.Column("Draft", linkify=True)
    shop = tables.Column(order_by="shop__name")
    ship_by = DateColumn("j M Y")
    rows = tables.Column(attrs={"td": {"class": "num"}, "th": {"class": "num"}})
    pairs = tables.Column(attrs={"td": {"class": "num"}, "th": {"class": "num"}})
    made_by = tables.Column("Begun by", order_by="made_by__full_name")

    class Meta:
        model = Order
        fields = ("number", "shop", "ship_by", "rows", "pairs", "made_by")
        empty_text = "No draft is waiting."

    def render_shop(self, record):
        seconds = format_html(" <b>{}</b>", "Seconds") if record.grade == "seconds" else ""
        return format_html("{}{}", record.shop, seconds)

    def render_pairs(self, value):
        return f"{value:,}"
