from datetime import date

import django_tables2 as tables
from django.utils.html import format_html

from inventory.tables.columns import SOFT


class ListedShopTable(tables.Table):
    """Rows are ListedShop; the last column issues a shop's list to print."""

    caption = "Shops that want the seconds list"
    shop = tables.Column(linkify=lambda record: record.shop.get_absolute_url(), order_by="shop__name")
    to = tables.Column("Goes to", attrs=SOFT, empty_values=())
    letter = tables.Column("Today", attrs=SOFT, empty_values=(), orderable=False)
    paper = tables.TemplateColumn(
        template_name="orders/cells/seconds_list_paper.html",
        verbose_name=format_html('<span class="unseen">{}</span>', "To print"),
        orderable=False,
    )

    class Meta:
        empty_text = "No shop wants it yet. Tick “wants the seconds list” in a shop's terms."

    def __init__(self, rows, *, for_day: date):
        self.for_day = for_day
        super().__init__(rows)

    def render_to(self, value, record):
        return record.why_not or value

    def render_letter(self, value):
        if value is None:
            return "not sent"
        paper = next(iter(value.papers.all()), None)
        return format_html('<a href="{}">{}</a>, {}', value.get_absolute_url(), paper or "letter", value.state)
