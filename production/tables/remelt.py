import django_tables2 as tables
from django.utils import timezone
from django.utils.html import format_html

from inventory.material_words import GRAM, as_bought
from inventory.tables.stockroom import DATE, RIGHT, SOFT
from production.balance_words import kilograms
from production.models import Remelt


class KilogramColumn(tables.Column):
    """Grams, said as kilograms; a nought is a dash. In a file kilograms as a number."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **{"attrs": RIGHT, **kwargs})

    def render(self, value):
        return kilograms(round(value))

    def value(self, value, **kwargs):
        return as_bought(round(value), GRAM)


class LyingTable(tables.Table):
    """Rows are Lying."""

    caption = "What lies for remelt, as reckoned"
    wax = tables.Column()
    colour = tables.Column()
    begun = KilogramColumn("Lay there", accessor="tub__begun")
    graded = KilogramColumn("Counted off for remelt", accessor="tub__graded")
    seconds = KilogramColumn("Pairs remelted from stock", accessor="tub__seconds")
    weighed = KilogramColumn("Weighed in", accessor="tub__weighed")
    left = KilogramColumn("Lies there", accessor="tub__left")
    since = tables.DateTimeColumn(
        verbose_name="Since", accessor="looked_at", format="j M Y", default="the first frame", attrs=DATE
    )
    act = tables.Column("", accessor="key", attrs=RIGHT, exclude_from_export=True)

    class Meta:
        orderable = False
        empty_text = "Nothing was ever put aside for remelt."

    def render_act(self, record):
        return format_html(
            '<a href="?wax={}&amp;colour={}#id_kilograms">Weigh in<span class="unseen"> {}, {}</span></a>',
            record.wax.pk, record.colour.pk, record.wax, record.colour,
        )  # fmt: skip

    def value_since(self, record):
        return timezone.localdate(record.looked_at) if record.looked_at else ""


class RemeltTable(tables.Table):
    caption = "Weighed in"
    at = tables.DateTimeColumn(verbose_name="When", format="j M Y, H:i", attrs=DATE)
    lot = tables.Column(linkify=True, attrs={"td": {"class": "nowrap"}})
    wax = tables.Column()
    colour = tables.Column()
    grams = KilogramColumn("Weighed")
    left = KilogramColumn("Left then", default="not looked")
    note = tables.Column(default="", attrs=SOFT)
    person = tables.Column("Who")

    class Meta:
        model = Remelt
        fields = ("at", "lot", "wax", "colour", "grams", "left", "note", "person")
        orderable = False
        empty_text = "Nothing was weighed in yet."
