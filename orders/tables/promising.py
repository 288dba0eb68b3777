import django_tables2 as tables
from django.utils import timezone

from inventory.tables.stockroom import RIGHT, SOFT, PairsColumn, PictureColumn


class ReadyTable(tables.Table):
    """Rows are LineReady."""

    caption = "When each line can be ready"
    picture = PictureColumn(accessor="line__candle")
    candle = tables.Column(accessor="line__candle", linkify=True)
    pairs = PairsColumn(accessor="line__pairs")
    stock = PairsColumn("From stock")
    floor = PairsColumn("On the floor")
    asked = PairsColumn("Still to come", attrs=RIGHT)
    ready = tables.Column("Ready", attrs={"td": {"class": "reason"}})
    why = tables.Column("Why not earlier", accessor="ready__why", attrs=SOFT, default="")

    class Meta:
        orderable = False
        empty_text = "No line."

    def render_ready(self, value):
        return value.when(timezone.localdate())
