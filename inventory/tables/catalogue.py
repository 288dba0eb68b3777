import django_tables2 as tables

from inventory.models import Candle
from inventory.tables.stockroom import RIGHT, SOFT, PairsColumn, PictureColumn


class CandleTable(tables.Table):
    caption = "The catalogue"
    picture = PictureColumn()
    code = tables.Column(attrs={"td": {"class": "nowrap"}})
    name = tables.Column("Candle", linkify=True)
    shape = tables.Column(
        "Length, base, tip (mm)", accessor="pk", order_by=("length_mm", "base_mm", "tip_mm"), attrs=RIGHT
    )
    wax = tables.Column()
    colour = tables.Column()
    pairs_per_box = tables.Column("Pairs to a box", attrs=RIGHT)
    grams = tables.Column("A pair weighs", accessor="grams_a_pair", orderable=False, attrs=RIGHT)
    trade_price = tables.Column("Trade price", attrs=RIGHT)
    free = PairsColumn("Firsts free")
    stands = tables.Column("", accessor="active", orderable=False, attrs=SOFT)

    class Meta:
        model = Candle
        fields = (
            "picture",
            "code",
            "name",
            "shape",
            "wax",
            "colour",
            "pairs_per_box",
            "grams",
            "trade_price",
            "free",
            "stands",
        )
        empty_text = "No candle fits."

    def render_shape(self, record):
        return f"{record.length_mm:f} x {record.base_mm:f} x {record.tip_mm:f}".replace(".0", "")

    def render_grams(self, value):
        return f"{value:.0f} g"

    def render_stands(self, value):
        return "" if value else "no longer in the catalogue"
