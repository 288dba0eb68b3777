import django_tables2 as tables

from inventory.label_layout import CASE, PACK
from inventory.models import LabelSheet
from inventory.tables.columns import RIGHT, SOFT
from inventory.words import measure


class LabelSheetTable(tables.Table):
    name = tables.Column(linkify=("label_sheet", {"pk": tables.A("pk")}))
    to_a_page = tables.Column("To a page", orderable=False, attrs=RIGHT)
    size = tables.Column("A label, mm", empty_values=(), orderable=False, attrs=RIGHT)
    serves = tables.Column("Large enough for", empty_values=(), orderable=False, attrs=SOFT)

    class Meta:
        model = LabelSheet
        fields = ("name", "to_a_page", "size", "serves")
        empty_text = "No sheet yet."

    def render_size(self, record):
        return f"{measure(record.label_w_mm)} x {measure(record.label_h_mm)}"

    def render_serves(self, record):
        held = [
            word
            for word, (width, height, _) in (("packs", PACK), ("cases", CASE))
            if record.label_w_mm >= width and record.label_h_mm >= height
        ]
        return " and ".join(held) or "neither packs nor cases"
