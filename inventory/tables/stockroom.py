import django_tables2 as tables
from django.urls import reverse
from django.utils.formats import date_format
from django_tables2.utils import A

from inventory.models import SECONDS, Candle, Lot, Movement
from inventory.queries.stockroom import Held, with_held
from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn, PairsColumn, PictureColumn

NONE_HELD = Held()


class HeldColumn(PairsColumn):
    """A figure of what is held of the row's candle, from the table's `held`; the database is asked for it to sort."""

    def __init__(self, verbose_name: str, figure: str):
        super().__init__(verbose_name, accessor="pk")
        self.figure = figure

    def figure_of(self, candle: Candle, table: "StockTable"):
        return getattr(table.held.get(candle.pk, NONE_HELD), self.figure)

    def render(self, record, table):
        return super().render(self.figure_of(record, table))

    def value(self, record, table):
        return self.figure_of(record, table)

    def order(self, candles, is_descending):
        return with_held(candles, self.figure).order_by(f"-{self.figure}" if is_descending else self.figure), True


class OldestColumn(HeldColumn):
    def render(self, record, table):
        oldest = self.figure_of(record, table)
        return date_format(oldest, "j M Y") if oldest else "–"


class StockTable(tables.Table):
    """Candles, with what is held of each (`Stock.by_candle`)."""

    caption = "Pairs by candle"
    picture = PictureColumn()
    code = tables.Column(
        linkify=lambda record, table: f"{table.lots}?q={record.code}", attrs={"td": {"class": "nowrap"}}
    )
    name = tables.Column("Candle", linkify=True)
    firsts = HeldColumn("Firsts on hand", "firsts")
    aside = HeldColumn("Set aside", "aside")
    free = HeldColumn("Free", "free")
    seconds = HeldColumn("Seconds", "seconds")
    oldest = OldestColumn("Oldest firsts", "oldest")
    shelf = tables.Column("Own shelf", default="–", order_by=("shelf__walk", "shelf__code"), attrs=RIGHT)

    class Meta:
        model = Candle
        fields = ("picture", "code", "name", "firsts", "aside", "free", "seconds", "oldest", "shelf")
        empty_text = "No candle fits."

    def __init__(self, *args, held: dict[int, Held], **kwargs):
        super().__init__(*args, **kwargs)
        self.held, self.lots = held, reverse("lots")


class LotTable(tables.Table):
    caption = "Lots"
    picture = PictureColumn(second=lambda lot: lot.grade == SECONDS, accessor="candle")
    code = tables.Column("Lot", linkify=True, attrs={"td": {"class": "nowrap"}})
    candle = tables.Column(linkify=True, accessor="candle", order_by="candle__name")
    grade = tables.Column()
    fault = tables.Column(default="", attrs=SOFT)
    shelf = tables.Column(default="–", order_by=("shelf__walk", "shelf__code"))
    made_on = DateColumn("j M Y", verbose_name="Dipped on", attrs=DATE)
    on_hand = PairsColumn("On hand")
    set_aside = PairsColumn("Set aside")
    free_now = PairsColumn("Free")

    class Meta:
        model = Lot
        fields = (
            "picture",
            "code",
            "candle",
            "grade",
            "fault",
            "shelf",
            "made_on",
            "on_hand",
            "set_aside",
            "free_now",
        )
        empty_text = "No lot fits."


class LotsOfCandleTable(LotTable):
    """The lots of one candle: its name need not stand in every row."""

    class Meta(LotTable.Meta):
        exclude = ("candle",)
        empty_text = "No lot of it holds pairs."
        orderable = False


class HistoryTable(tables.Table):
    caption = "Movements of this lot"
    at = DateColumn(verbose_name="When", format="j M Y, H:i", attrs=DATE)
    kind = tables.Column("What")
    pairs = tables.Column(attrs=RIGHT)
    stood = tables.Column("On hand then", attrs=RIGHT)
    reason = tables.Column(default="", attrs=SOFT)
    reference = tables.Column(default="", attrs=SOFT)
    person = tables.Column("Who")

    class Meta:
        model = Movement
        fields = ("at", "kind", "pairs", "stood", "reason", "reference", "person")
        orderable = False
        empty_text = "Nothing has moved."

    def render_pairs(self, value):
        return f"{value:+,}"

    def render_stood(self, value):
        return f"{value:,}"

    def value_pairs(self, value):
        return value

    def value_stood(self, value):
        return value


class RecordTable(tables.Table):
    """Who did what, when; for a lot and for a candle."""

    caption = "Who did what"
    at = DateColumn(verbose_name="When", format="j M Y, H:i", attrs=DATE)
    what = tables.Column()
    person = tables.Column("Who", accessor=A("person__full_name"))

    class Meta:
        orderable = False
        empty_text = "Nothing on record yet."
