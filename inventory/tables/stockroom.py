import django_tables2 as tables
from django.urls import reverse
from django_tables2.utils import A

from inventory.models import SECONDS, Candle, Lot, Movement
from inventory.tables.columns import DATE, RIGHT, SOFT, PairsColumn, PictureColumn


class StockTable(tables.Table):
    caption = "Pairs by candle"
    picture = PictureColumn()
    code = tables.Column(
        linkify=lambda record: f"{reverse('lots')}?q={record.code}", attrs={"td": {"class": "nowrap"}}
    )
    name = tables.Column("Candle", linkify=True)
    firsts = PairsColumn("Firsts on hand")
    aside = PairsColumn("Set aside")
    free = PairsColumn("Free")
    seconds = PairsColumn("Seconds")
    oldest = tables.DateColumn(verbose_name="Oldest firsts", format="j M Y", default="–", attrs=RIGHT)
    shelf = tables.Column("Own shelf", default="–", order_by=("shelf__walk", "shelf__code"), attrs=RIGHT)

    class Meta:
        model = Candle
        fields = ("picture", "code", "name", "firsts", "aside", "free", "seconds", "oldest", "shelf")
        empty_text = "No candle fits."

    def value_oldest(self, value):
        return value


class LotTable(tables.Table):
    caption = "Lots"
    picture = PictureColumn(second=lambda lot: lot.grade == SECONDS, accessor="candle")
    code = tables.Column("Lot", linkify=True, attrs={"td": {"class": "nowrap"}})
    candle = tables.Column(linkify=True, accessor="candle", order_by="candle__name")
    grade = tables.Column()
    fault = tables.Column(default="", attrs=SOFT)
    shelf = tables.Column(default="–", order_by=("shelf__walk", "shelf__code"))
    made_on = tables.DateColumn(verbose_name="Dipped on", format="j M Y", attrs=DATE)
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

    def value_made_on(self, value):
        return value


class LotsOfCandleTable(LotTable):
    """The lots of one candle: its name need not stand in every row."""

    class Meta(LotTable.Meta):
        exclude = ("candle",)
        empty_text = "No lot of it holds pairs."
        orderable = False


class HistoryTable(tables.Table):
    caption = "Movements of this lot"
    at = tables.DateTimeColumn(verbose_name="When", format="j M Y, H:i", attrs=DATE)
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
    at = tables.DateTimeColumn(verbose_name="When", format="j M Y, H:i", attrs=DATE)
    what = tables.Column()
    person = tables.Column("Who", accessor=A("person__full_name"))

    class Meta:
        orderable = False
        empty_text = "Nothing on record yet."
