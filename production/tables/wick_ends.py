import django_tables2 as tables

from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn
from production.models import WickEnds


class WickEndsTable(tables.Table):
    caption = "Wick ends, as they came and went"
    at = DateColumn(verbose_name="When", format="j M Y, H:i", attrs=DATE)
    kind = tables.Column("What")
    grams = tables.Column("Grams", attrs=RIGHT)
    bags = tables.Column("Bags", attrs=RIGHT)
    note = tables.Column(default="", attrs=SOFT)
    person = tables.Column("Who")

    class Meta:
        model = WickEnds
        fields = ("at", "kind", "grams", "bags", "note", "person")
        orderable = False
        empty_text = "No wick ends are booked yet."

    def render_grams(self, value):
        return f"{value:+,}" if value else "–"

    def render_bags(self, value):
        return f"{value:+,}" if value else "–"
