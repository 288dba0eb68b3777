import django_tables2 as tables
from django.utils.html import format_html

from inventory.pair_svg import draw_pair_of
from orders.money import in_pounds

RIGHT = {"td": {"class": "num"}, "th": {"class": "num"}}


class ShelfTable(tables.Table):
    """Rows are ShelfRow."""

    caption = "Seconds that are free"
    picture = tables.Column(
        format_html('<span class="unseen">{}</span>', "Picture"),
        accessor="candle",
        orderable=False,
        attrs={"td": {"class": "pair"}},
    )
    candle = tables.Column(order_by="candle__code")
    faults = tables.TemplateColumn(
        template_name="orders/cells/seconds_faults.html",
        verbose_name="Faults and age",
        orderable=False,
        attrs={"td": {"class": "why"}},
    )
    free = tables.Column("Free pairs", attrs=RIGHT)
    price = tables.Column("Price a pair", attrs=RIGHT)
    sell = tables.TemplateColumn(
        template_name="orders/cells/seconds_sell.html", verbose_name="Pairs to sell", orderable=False, attrs=RIGHT
    )

    class Meta:
        empty_text = "No seconds lie free. Every one is sold or set aside."

    def render_picture(self, value):
        return draw_pair_of(value, second=True)

    def render_candle(self, value):
        return format_html("{} <br><small>{}</small>", value.name, value.code)

    def render_price(self, record):
        return format_html("{}<br><small>{}</small>", in_pounds(record.price), record.price_from)
