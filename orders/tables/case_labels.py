import django_tables2 as tables
from django.utils.html import format_html_join
from django.utils.safestring import SafeString

from inventory.tables.columns import RIGHT, SOFT

BREAK = SafeString("<br>")


class CaseTable(tables.Table):
    """Rows are orders.queries.case_labels.case_row."""

    caption = "Cases of this delivery"
    number = tables.Column("Box", accessor="box__number", attrs=RIGHT)
    pairs = tables.Column(accessor="slip__box__pairs", attrs=RIGHT)
    net = tables.Column("Net, kg", accessor="slip__box__net_kg", attrs=RIGHT)
    gross = tables.Column("With the box, kg", accessor="slip__box__gross_kg", attrs=RIGHT)
    lifting = tables.Column("Lifting", default="", attrs=SOFT)
    bars = tables.Column("In bars", empty_values=())

    class Meta:
        orderable = False

    def __init__(self, rows):
        super().__init__(rows)
        if not any(row["lifting"] for row in rows):
            self.columns.hide("lifting")

    def render_bars(self, record):
        said = [*record["bars"], *([record["why"]] if record["why"] else [])]
        return format_html_join(BREAK, "{}", ((text,) for text in said))
