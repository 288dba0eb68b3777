"""Tables of boxes of seconds: on the shelf, in a draft, and one box's contents."""

import django_tables2 as tables
from django.utils.html import format_html

from inventory.pair_svg import draw_pair_of
from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn, PairsColumn, PictureColumn
from orders.money import in_pounds
from orders.seconds_words import in_kilos

NOWRAP = {"td": {"class": "nowrap"}}


class ShelfBoxTable(tables.Table):
    """Rows are ShelfBox; the tick sells the box."""

    caption = "Boxes of seconds on the shelf"
    take = tables.TemplateColumn(template_name="orders/cells/seconds_tick.html", verbose_name="Sell", orderable=False)
    code = tables.Column(
        "Box", accessor="box__code", linkify=lambda record: record.box.get_absolute_url(), attrs=NOWRAP
    )
    holds = tables.TemplateColumn(
        template_name="orders/cells/seconds_contents.html",
        verbose_name="What lies in it",
        orderable=False,
        attrs={"td": {"class": "why"}},
    )
    pairs = PairsColumn()
    weight = tables.Column("Weight", accessor="box__weight_g", attrs=RIGHT)
    oldest = tables.Column("Oldest", attrs=RIGHT)
    price = tables.Column("Price", accessor="price__price", attrs=RIGHT)

    class Meta:
        prefix = "box-"
        empty_text = "No box is made up."

    def render_weight(self, value):
        return in_kilos(value)

    def render_oldest(self, value):
        return f"{value} days"

    def render_price(self, record):
        price = record.price
        return format_html("{}<br><small>{}</small>", in_pounds(price.price) if price.known else "none", price.words)


class DraftBoxTable(tables.Table):
    """Rows are OrderedBox."""

    caption = "Boxes of seconds on this order"
    code = tables.Column(
        "Box", accessor="box__code", linkify=lambda record: record.box.get_absolute_url(), attrs=NOWRAP
    )
    holds = tables.Column("What lies in it", accessor="in_words", attrs=SOFT)
    pairs = PairsColumn()
    weight = tables.Column("Weight", accessor="box__weight_g", attrs=RIGHT)
    price = tables.Column("Price", accessor="amount", attrs=RIGHT)

    class Meta:
        orderable = False

    def render_weight(self, value):
        return in_kilos(value)

    def render_price(self, value):
        return in_pounds(value)


class BoxContentTable(tables.Table):
    """Rows are SecondsBoxContent with lot, candle and colour."""

    caption = "What lies in the box"
    picture = PictureColumn(accessor="lot__candle")
    candle = tables.Column(accessor="lot__candle")
    fault = tables.Column(accessor="lot__fault")
    lot = tables.Column(linkify=True, attrs=NOWRAP)
    dipped = DateColumn(verbose_name="Dipped", accessor="lot__made_on", format="j M Y", attrs=DATE)
    pairs = PairsColumn()

    class Meta:
        orderable = False

    def render_picture(self, value):
        return draw_pair_of(value, second=True)

    def render_candle(self, value):
        return format_html("{} <small>{}</small>", value.name, value.code)


class AllBoxesTable(tables.Table):
    """Rows are SecondsBox with `pairs`."""

    caption = "All boxes of seconds"
    code = tables.Column("Box", linkify=True)
    made_up_on = DateColumn(verbose_name="Made up", format="j M Y", attrs=DATE)
    made_up_by = tables.Column("By")
    pairs = PairsColumn()
    weight_g = tables.Column("Weight", attrs=RIGHT)
    state = tables.Column("Stands")

    class Meta:
        order_by = "-made_up_on"
        empty_text = "None yet. Boxes are made up from the shelf lot by lot."

    def render_weight_g(self, value):
        return in_kilos(value)

    def render_state(self, value, record):
        if not record.order_id:
            return value
        return format_html(
            '{} to {}, <a href="{}">{}</a>', value, record.order.shop, record.order.get_absolute_url(), record.order
        )
