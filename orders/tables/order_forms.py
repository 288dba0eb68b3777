"""Order forms made, what stands on one, how one that came back was read."""

import django_tables2 as tables
from django.utils.html import format_html, format_html_join

from inventory.tables.columns import DATE, RIGHT, DateColumn, PairsColumn
from orders.tables.invoices import DAY


class OrderFormTable(tables.Table):
    """Rows are OrderForm as orders.queries.order_forms.forms_made gives them."""

    caption = "Order forms made"
    number = tables.Column("Form", accessor="number", linkify=True, attrs=DATE)
    shop = tables.Column("Shop", order_by="shop__name")
    made_on = DateColumn(DAY, verbose_name="Made", attrs=DATE)
    first_day = DateColumn(DAY, verbose_name="For days from", attrs=DATE)
    last_day = DateColumn(DAY, verbose_name="Until", attrs=DATE)
    letters = tables.Column("Sent")
    orders = tables.Column("Came back as", accessor="pk", orderable=False)

    class Meta:
        empty_text = "No order form yet: make one on a shop's page."

    def render_number(self, record):
        return str(record)

    def render_letters(self, value):
        return "by letter" if value == 1 else f"by {value} letters" if value else "not by letter"

    def render_orders(self, record):
        orders = [back.order for back in record.backs.all()]
        links = ((order.get_absolute_url(), order.number, order.status) for order in orders)
        return format_html_join(", ", '<a href="{}">{}</a> <small>{}</small>', links) if orders else "not yet"


class FormRowTable(tables.Table):
    """Rows are {"code", "name", "price", "last"} of a form as it was made."""

    caption = "What stands on the form"
    code = tables.Column()
    name = tables.Column("Candle")
    price = tables.Column("Price a pair", attrs=RIGHT)
    last = PairsColumn(verbose_name="Last year")

    class Meta:
        orderable = False


class BackRowTable(tables.Table):
    """Rows are those of FormBack.rows."""

    caption = "The rows of the form and what became of them"
    row = tables.Column("Row", attrs=RIGHT)
    said = tables.Column("As it came")
    became = tables.Column("Became")

    class Meta:
        orderable = False
        row_attrs = {"class": lambda record: "doubt" if record["doubt"] else ""}

    def render_became(self, value, record):
        return format_html("<strong>{}</strong>", value) if record["doubt"] else value
