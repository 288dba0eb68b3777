import django_tables2 as tables
from django.utils.html import format_html

from inventory.models import Candle
from inventory.tables.columns import RIGHT, PairsColumn, PictureColumn
from inventory.words import measure


class CandleTable(tables.Table):
    caption = "The catalogue"
    picture = PictureColumn()
    code = tables.Column(attrs={"td": {"class": "nowrap"}})
    name = tables.Column("Candle")
    shape = tables.Column(
        "Length, base, tip (mm)", accessor="pk", order_by=("length_mm", "base_mm", "tip_mm"), attrs=RIGHT
    )
    pairs_per_box = tables.Column("Pairs to a box", attrs=RIGHT)
    grams = tables.Column("A pair weighs", accessor="grams_a_pair", orderable=False, attrs=RIGHT)
    trade_price = tables.Column("Trade price", attrs=RIGHT)
    free = PairsColumn("Firsts free")

    class Meta:
        model = Candle
        fields = (
            "picture",
            "code",
            "name",
            "shape",
            "pairs_per_box",
            "grams",
            "trade_price",
            "free",
        )
        empty_text = "No candle fits."

    def render_name(self, record):
        gone = "" if record.active else "; no longer in the catalogue"
        made_of = f"{record.wax}, {str(record.colour).lower()}{gone}"
        return format_html('<a href="{}">{}</a><br><small>{}</small>', record.get_absolute_url(), record.name, made_of)

    def render_shape(self, record):
        return " x ".join(measure(figure) for figure in (record.length_mm, record.base_mm, record.tip_mm))

    def render_grams(self, value):
        return f"{value:.0f} g"
