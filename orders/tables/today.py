import django_tables2 as tables
from django.utils import timezone

from inventory.tables.columns import DATE, RIGHT, PairsColumn, PictureColumn
from orders.standing import short_day
from orders.tables.book import BookTable


class DueTable(BookTable):
    """The order book's own columns, for the orders due."""

    caption = "Orders due"

    class Meta(BookTable.Meta):
        orderable = False
        empty_text = "No order is due so soon."


class ShortTable(tables.Table):
    caption = "Candles the due orders lack"
    picture = PictureColumn(accessor="candle")
    candle = tables.Column(linkify=True)
    hung = PairsColumn("On the floor")
    planned = PairsColumn("Planned")
    open = PairsColumn("Pairs open")
    orders = tables.Column("Orders", attrs=RIGHT)
    first = tables.Column("First due", attrs=DATE)
    free = PairsColumn("Free on the shelf")

    class Meta:
        orderable = False
        empty_text = "Nothing: every pair due is set aside or sent."

    def render_first(self, value):
        return short_day(value, timezone.localdate())


class ShortfallTable(tables.Table):
    """Rows are Shortfall."""

    caption = "Frames that gave fewer firsts than they hung for"
    picture = PictureColumn(accessor="candle")
    candle = tables.Column(linkify=True)
    frame = tables.Column()
    short = PairsColumn("Firsts too few")
    open = PairsColumn("Of these still to hang")
    for_whom = tables.Column("For whom")
    wanted_by = tables.Column("Wanted by", attrs=DATE)

    class Meta:
        orderable = False

    def render_wanted_by(self, value):
        return short_day(value, timezone.localdate())
