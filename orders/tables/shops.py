import django_tables2 as tables
from django.utils.html import format_html

from orders.models import Contact, Order, Paper, Shop

RIGHT = {"th": {"class": "num"}, "td": {"class": "num"}}


class ShopTable(tables.Table):
    caption = "Shops"
    name = tables.Column("Shop", linkify=True)
    rank = tables.Column(attrs=RIGHT)
    discount = tables.Column("Discount (%)", attrs=RIGHT)
    terms_days = tables.Column("Days to pay", attrs=RIGHT)
    open_orders = tables.Column("Open orders", attrs=RIGHT)
    last_order = tables.DateColumn(verbose_name="Last order", format="j M Y", default="none yet")
    stands = tables.Column("Stands", accessor="stop_reason", orderable=False, empty_values=())

    class Meta:
        model = Shop
        fields = ("name", "rank", "discount", "terms_days", "open_orders", "last_order", "stands")
        order_by = "name"
        empty_text = "No shop fits. Search for part of a name, a town or a postcode."

    def render_name(self, record):
        return format_html("{}, <small>{}</small>", record.name, record.town)

    def render_stands(self, record):
        says = [
            f"on stop: {record.stop_reason}" if record.on_stop else "",
            "pays before we send" if record.pro_forma_first else "",
            "complete deliveries only" if record.complete_only else "",
            "" if record.active else "no longer served",
        ]
        return "; ".join(filter(None, says))


class ShopOrdersTable(tables.Table):
    caption = "Orders of this shop"
    number = tables.Column("Order", linkify=True)
    placed_on = tables.DateColumn(verbose_name="Placed", format="j M Y")
    ship_by = tables.DateColumn(verbose_name="Ship by", format="j M Y", default="")
    pairs = tables.Column(attrs=RIGHT)
    reference = tables.Column("Their reference")
    status = tables.Column("Stands")

    class Meta:
        model = Order
        fields = ("number", "placed_on", "ship_by", "pairs", "reference", "status")
        orderable = False
        empty_text = "No order yet."


class ShopPapersTable(tables.Table):
    caption = "Papers of this shop"
    number = tables.Column("Paper", linkify=True)
    kind = tables.Column()
    issued_on = tables.DateColumn(verbose_name="Issued", format="j M Y")
    cancelled = tables.Column("Stands", accessor="pk", orderable=False)

    class Meta:
        model = Paper
        fields = ("number", "kind", "issued_on", "cancelled")
        orderable = False
        empty_text = "No paper yet."

    def render_cancelled(self, record):
        return f"cancelled: {record.cancellation.reason}" if hasattr(record, "cancellation") else "issued"


class ContactTable(tables.Table):
    caption = "Contacts of this shop"
    name = tables.Column()
    does = tables.Column("Looks after")
    email = tables.EmailColumn("E-mail")
    telephone = tables.Column()

    class Meta:
        model = Contact
        fields = ("name", "does", "email", "telephone")
        orderable = False
        empty_text = "Nobody yet."
