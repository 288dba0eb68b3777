import django_tables2 as tables
from django.utils.html import format_html

from inventory.pair_svg import draw_pair_of
from inventory.tables.columns import DATE, RIGHT, DateColumn, PictureColumn
from orders.money import in_pounds
from orders.prices import in_percent
from orders.seconds_words import in_kilos

NOWRAP = {"td": {"class": "nowrap"}}
BESIDE = {"td": {"class": "why"}}


class ShelfTable(tables.Table):
    """Rows are ShelfRow."""

    caption = "Seconds that are free"
    picture = PictureColumn(accessor="candle")
    candle = tables.Column(order_by="candle__code")
    faults = tables.TemplateColumn(
        template_name="orders/cells/seconds_faults.html",
        verbose_name="Faults and age",
        orderable=False,
        attrs=BESIDE,
    )
    free = tables.Column("Free pairs", attrs=RIGHT)
    price = tables.Column("Price a pair", attrs=RIGHT)
    sell = tables.TemplateColumn(
        template_name="orders/cells/seconds_sell.html", verbose_name="Pairs to sell", orderable=False, attrs=RIGHT
    )

    class Meta:
        empty_text = "No seconds lie free. Every one is sold, set aside or in a box."

    def render_picture(self, value):
        return draw_pair_of(value, second=True)

    def render_candle(self, value):
        return format_html("{} <br><small>{}</small>", value.name, value.code)

    def render_price(self, record):
        return format_html("{}<br><small>{}</small>", in_pounds(record.price), record.price_from)


class _LotTable(tables.Table):
    """Rows are LotRow: what both tables of lots show."""

    picture = PictureColumn(accessor="lot__candle")
    candle = tables.Column(accessor="lot__candle", order_by="lot__candle__code")
    fault = tables.Column(accessor="lot__fault")
    lot = tables.Column(linkify=True, attrs=NOWRAP, order_by="lot__code")
    dipped = DateColumn(verbose_name="Dipped", accessor="lot__made_on", format="j M Y", attrs=DATE)
    days = tables.Column("Days old", attrs=RIGHT)
    free = tables.Column("Free pairs", accessor="lot__free", attrs=RIGHT)
    price = tables.Column("Price a pair", accessor="price__price", attrs=RIGHT)

    def render_picture(self, value):
        return draw_pair_of(value, second=True)

    def render_candle(self, value):
        return format_html("{} <br><small>{}</small>", value.name, value.code)

    def value_candle(self, value):
        return f"{value.code} {value.name}"

    def render_price(self, record):
        off = format_html("<br><small>{} off</small>", in_percent(record.off)) if record.off else ""
        return format_html("{}{}", in_pounds(record.price.price), off)

    def value_price(self, record):
        return record.price.price


class LotShelfTable(_LotTable):
    caption = "Free seconds by lot"
    box = tables.TemplateColumn(
        template_name="orders/cells/seconds_into_box.html",
        verbose_name="Pairs into the box",
        orderable=False,
        attrs=RIGHT,
        exclude_from_export=True,
    )

    class Meta:
        empty_text = "No seconds lie free that fit what is asked."
        order_by = "candle"


class OldTable(_LotTable):
    caption = "Seconds offered for remelt"
    go = tables.TemplateColumn(template_name="orders/cells/seconds_go.html", verbose_name="Goes", orderable=False)
    weight = tables.Column("Weight", accessor="grams", attrs=RIGHT)

    class Meta:
        sequence = ("go", "picture", "candle", "fault", "lot", "dipped", "days", "free", "weight")
        exclude = ("price",)
        order_by = "-days"

    def render_weight(self, value):
        return in_kilos(value)
