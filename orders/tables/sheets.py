"""Tables of the sheets that are brought in. Rows of the first two are Fault and Outcome."""

import django_tables2 as tables

from inventory.models import SheetFile
from inventory.tables.columns import DATE, DateColumn
from orders.domain.sheets import KINDS

REASON = {"td": {"class": "reason"}}


class FaultTable(tables.Table):
    caption = "What is wrong, cell by cell"
    place = tables.Column("Where", attrs={"td": {"class": "nowrap"}})
    heading = tables.Column("Column", empty_values=())
    stands = tables.Column("Stands there", default="–", attrs=REASON)
    why = tables.Column("What is wrong", attrs=REASON)

    class Meta:
        orderable = False

    def __init__(self, faults, *, headings, **kwargs):
        self.headings = headings
        super().__init__(faults, **kwargs)

    def render_heading(self, record):
        at = record.column
        return self.headings[at] if at is not None and at < len(self.headings) and self.headings[at] else "–"

    def render_stands(self, value):
        return value[:80]


class OutcomeTable(tables.Table):
    caption = "What becomes of each row"
    row = tables.Column("Row")
    label = tables.Column("Of")
    what = tables.Column("Is")
    said = tables.Column("What comes of it", attrs=REASON)


class ColumnTable(tables.Table):
    caption = "The columns"
    label = tables.Column("Column")
    needed = tables.BooleanColumn(verbose_name="A new row needs it", yesno="yes,no")
    says = tables.Column("What may stand there", attrs=REASON)

    class Meta:
        orderable = False


class SheetFileTable(tables.Table):
    caption = "Sheets brought in"
    name = tables.Column("File", linkify=True)
    kind = tables.Column("Of")
    taken_at = DateColumn("j M Y H:i", verbose_name="Taken in", attrs=DATE)
    taken_by = tables.Column("By")
    told = tables.Column("What became of it", empty_values=(), attrs=REASON)

    class Meta:
        model = SheetFile
        fields = ("name", "kind", "taken_at", "taken_by", "told")
        orderable = False
        empty_text = "None yet."

    def render_kind(self, value):
        return KINDS[value].title if value in KINDS else value

    def render_told(self, record):
        return " ".join(record.told) or "not loaded yet"
