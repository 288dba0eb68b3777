import django_tables2 as tables
from django.urls import reverse

from inventory.material_words import GRAM, amount_in_words, as_bought
from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn
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
    """Rows are Lying; each leads to the form with its wax and colour chosen."""

    caption = "What lies for remelt, as reckoned"
    name = tables.Column(
        "Wax and colour",
        linkify=lambda record: f"{reverse('remelt')}?wax={record.wax.pk}&colour={record.colour.pk}#id_kilograms",
    )
    begun = KilogramColumn("Lay there", accessor="tub__begun")
    graded = KilogramColumn("Counted off", accessor="tub__graded")
    seconds = KilogramColumn("Out of stock", accessor="tub__seconds")
    weighed = KilogramColumn("Weighed in", accessor="tub__weighed")
    left = KilogramColumn("Lies there", accessor="tub__left")
    since = DateColumn(
        verbose_name="Since", accessor="looked_at", format="j M Y", default="the first frame", attrs=DATE
    )

    class Meta:
        orderable = False
        empty_text = "Nothing was ever put aside for remelt."


class RemeltTable(tables.Table):
    caption = "Weighed in"
    at = DateColumn(verbose_name="When", format="j M Y, H:i", attrs=DATE)
    lot = tables.Column(linkify=True, attrs={"td": {"class": "nowrap"}})
    wax = tables.Column()
    colour = tables.Column()
    grams = tables.Column("Weighed", attrs=RIGHT)
    left = tables.Column("Left then", default="not looked", attrs=RIGHT)
    note = tables.Column(default="", attrs=SOFT)
    person = tables.Column("Who")

    class Meta:
        model = Remelt
        fields = ("at", "lot", "wax", "colour", "grams", "left", "note", "person")
        orderable = False
        empty_text = "Nothing was weighed in yet."

    def render_grams(self, value):
        return amount_in_words(value, GRAM)

    def render_left(self, value):
        return amount_in_words(value, GRAM) if value else "none"
