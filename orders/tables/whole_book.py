import django_tables2 as tables

from inventory.tables.columns import RIGHT


class BookTableTable(tables.Table):
    """Rows are BookTable."""

    caption = "Every table of the book"
    name = tables.Column("Table")
    what = tables.Column("What it is", default="–", attrs={"td": {"class": "reason"}})
    rows = tables.Column("Rows", attrs=RIGHT)

    def render_rows(self, value):
        return f"{value:,}"
