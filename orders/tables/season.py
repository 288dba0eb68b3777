"""The season's tables. Rows are the dataclasses of orders.season and of orders.queries.season_pages."""

import django_tables2 as tables
from django.urls import reverse

from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn, PairsColumn, PictureColumn
from inventory.words import per_cent

DAY = "D j M"


class CurveTable(tables.Table):
    caption = "Pairs booked by week"
    day = DateColumn(verbose_name="Up to", format=DAY, attrs=DATE)
    now = PairsColumn("This season", default="–")
    before = PairsColumn("The season before, same day")
    share = tables.Column("Of all booked then", attrs=RIGHT)

    class Meta:
        orderable = False
        empty_text = "The season has no weeks yet."

    def render_share(self, value):
        return per_cent(value)


class SeasonCandleTable(tables.Table):
    caption = "The season by candle"
    picture = PictureColumn(accessor="candle")
    candle = tables.Column("Candle", linkify=True, order_by="candle__name")
    booked = PairsColumn("Booked")
    early = PairsColumn("By now last year")
    last = PairsColumn("All last season")
    rest = PairsColumn("To come, about")
    low = PairsColumn("At least")
    high = PairsColumn("At most")
    total = PairsColumn("In the end")

    class Meta:
        order_by = "-total"
        empty_text = "Nothing was booked this season or the one before."


class LoadTable(tables.Table):
    caption = "How full the floor is, week by week"
    monday = DateColumn(verbose_name="Week of", format=DAY, attrs=DATE)
    frames = tables.Column("Frames to thread", attrs=RIGHT)
    hands = tables.Column("Hands", attrs=RIGHT)
    turns = tables.Column("Turns", attrs=RIGHT)
    positions = tables.Column("Positions", attrs=RIGHT)
    level = tables.Column("Done ahead", attrs=RIGHT)
    trial = tables.Column("As tried", attrs=RIGHT)
    binds = tables.Column("What is fullest", attrs=SOFT)

    class Meta:
        orderable = False
        empty_text = "No working hours are set up."


class LastOrderTable(tables.Table):
    caption = "Last order day by candle"
    picture = PictureColumn(accessor="candle")
    candle = tables.Column(linkify=True, order_by="candle__name")
    pairs = PairsColumn("A box, pairs")
    on = DateColumn(verbose_name="Last order day", format=DAY, default="too late", attrs=DATE)
    crowded = DateColumn(verbose_name="After all expected", format=DAY, default="too late", attrs=DATE)
    ready = DateColumn(verbose_name="Then ready", format=DAY, default="–", attrs=DATE)
    free = PairsColumn("Free now")
    binds = tables.Column("Why not later", default="nothing: it goes as it is", attrs=SOFT)

    class Meta:
        order_by = ("on", "candle")
        empty_text = "No candle is in the plan."


class LastColourTable(tables.Table):
    caption = "Last order day by colour"
    colour = tables.Column("Wax and colour")
    on = DateColumn(verbose_name="Every candle of it until", format=DAY, default="too late", attrs=DATE)
    latest = DateColumn(verbose_name="The last of them until", format=DAY, default="too late", attrs=DATE)
    candles = tables.Column("Candles", attrs=RIGHT)
    first = tables.Column("The first to close", attrs=SOFT)

    class Meta:
        order_by = ("on", "colour")
        empty_text = "No colour is in the plan."


class AheadTable(tables.Table):
    caption = "To hang ahead"
    picture = PictureColumn(accessor="candle")
    candle = tables.Column(linkify=True, order_by="candle__name")
    low = PairsColumn("Surely to come")
    there = PairsColumn("Free or coming")
    frames = PairsColumn("Frames")
    pairs = PairsColumn("Pairs")
    weeks = tables.Column("In the week of", default="–", orderable=False, attrs=DATE)
    shelf = tables.Column("Shelf", default="–")
    why = tables.Column("Why no more", default="all that is sure", attrs=SOFT)

    class Meta:
        order_by = ("-frames", "candle")
        empty_text = "Nothing more is surely sold."


class RoomTable(tables.Table):
    caption = "Room on the shelves"
    code = tables.Column("Shelf", linkify=lambda record: reverse("shelf", args=[record["pk"]]))
    room = PairsColumn("Holds, pairs", default="not known")
    lies = PairsColumn("Lies there")
    left = PairsColumn("Room left", default="not known")

    class Meta:
        orderable = False
        empty_text = "No shelf is set up."


class NotYetTable(tables.Table):
    caption = "Shops that ordered last Christmas and have not yet"
    shop = tables.Column(linkify=True, order_by="shop__name")
    contact = tables.Column(default="nobody")
    telephone = tables.Column(default="–", attrs={"td": {"class": "nowrap"}})
    pairs = PairsColumn("Last Christmas")
    early = PairsColumn("By now then")
    first = DateColumn(verbose_name="First order then", format="j M Y", default="–", attrs=DATE)
    before = PairsColumn("Year before")

    class Meta:
        order_by = "-pairs"
        empty_text = "Every one of them has ordered."


class PasteTable(tables.Table):
    caption = "Put in so far"
    first = DateColumn(verbose_name="Ordered from", format="j M Y", attrs=DATE)
    last = DateColumn(verbose_name="To", format="j M Y", attrs=DATE)
    shops = PairsColumn("Shops")
    rows = PairsColumn("Rows")
    pairs = PairsColumn("Pairs")
    made_at = DateColumn(verbose_name="Put in", format="j M Y, H:i", attrs=DATE)
    by = tables.Column("By", accessor="made_by__full_name")
    act = tables.TemplateColumn(
        template_name="orders/cells/take_out_before.html", verbose_name="", exclude_from_export=True
    )

    class Meta:
        orderable = False
        empty_text = "Nothing yet."
