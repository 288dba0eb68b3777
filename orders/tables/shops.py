import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from inventory.models import SECONDS
from inventory.tables.columns import DATE, RIGHT, DateColumn
from orders.models import Address, Contact, Order, Paper, Shop


class ShopTable(tables.Table):
    caption = "Shops"
    name = tables.Column("Shop", linkify=True)
    rank = tables.Column(attrs=RIGHT)
    discount = tables.Column("Discount (%)", attrs=RIGHT)
    terms_days = tables.Column("Days to pay", attrs=RIGHT)
    open_orders = tables.Column("Open orders", attrs=RIGHT)
    last_order = DateColumn(verbose_name="Last order", format="j M Y", default="none yet", attrs=DATE)
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
    number = tables.Column("Order", linkify=True, attrs=DATE)
    placed_on = DateColumn(verbose_name="Placed", format="j M Y")
    ship_by = DateColumn(verbose_name="Ship by", format="j M Y", default="")
    pairs = tables.Column(attrs=RIGHT)
    reference = tables.Column("Their reference", default="")
    status = tables.Column("Stands")

    class Meta:
        model = Order
        fields = ("number", "placed_on", "ship_by", "pairs", "reference", "status")
        orderable = False
        empty_text = "No order yet."

    def render_status(self, value, record):
        return format_html("{}, <b>{}</b>", value, "Seconds") if record.grade == SECONDS else value


class ShopPapersTable(tables.Table):
    caption = "Papers of this shop"
    number = tables.Column("Paper", linkify=True, attrs=DATE)
    kind = tables.Column()
    issued_on = DateColumn(verbose_name="Issued", format="j M Y")
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
    does = tables.Column("Looks after", default="")
    email = tables.EmailColumn(verbose_name="E-mail", default="")
    telephone = tables.Column(default="")
    act = tables.Column("", accessor="pk")

    class Meta:
        model = Contact
        fields = ("name", "does", "email", "telephone", "act")
        orderable = False
        empty_text = "Nobody yet."

    def render_act(self, record):
        return _change("contact_edit", record, record.name)


class AddressTable(tables.Table):
    caption = "Addresses of this shop"
    label = tables.Column("Called")
    kind = tables.Column("For")
    place = tables.Column("Address", accessor="as_lines")
    act = tables.Column("", accessor="pk")

    class Meta:
        model = Address
        fields = ("label", "kind", "place", "act")
        orderable = False
        empty_text = "No address yet: nothing can be sent or invoiced."

    def render_kind(self, record, value):
        return f"{value}, the usual one" if record.usual else value

    def render_place(self, value):
        return ", ".join(value)

    def render_act(self, record):
        return _change("address_edit", record, record.label)


def _change(name, record, what):
    url = reverse(name, args=[record.shop_id, record.pk])
    return format_html('<a href="{}">Change<span class="unseen"> {}</span></a>', url, what)
