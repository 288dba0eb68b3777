import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from inventory.models import SECONDS
from inventory.tables.columns import DATE, RIGHT, DateColumn, PictureColumn
from orders.documents.ledger_parts import rate_in_words
from orders.models import Delivery, Invoice, InvoiceLine, InvoiceVat
from orders.money import Rate, in_pounds

FIGURE = {"th": {"class": "num"}, "td": {"class": "num"}, "tf": {"class": "num"}}
DAY = "j M Y"


class MoneyColumn(tables.Column):
    """An amount in GBP; on the page with thousands, in the CSV as a bare figure. `sums` by column name foot it."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, attrs=FIGURE, **kwargs)

    def render(self, value):
        return in_pounds(value)

    def value(self, value):
        return value


def _sum(name):
    def footer(table):
        return in_pounds(table.sums[name]) if table.sums else ""

    return footer


class InvoiceTable(tables.Table):
    caption = "Invoices"
    # Numbers and keys run alike; by the key only the rows shown are added up, not all of ten years.
    number = tables.Column("Invoice", accessor="paper__number", order_by="pk", linkify=True, footer="All", attrs=DATE)
    shop = tables.Column(linkify=lambda record: record.shop.get_absolute_url(), order_by=("shop__name", "-pk"))
    issued = DateColumn(DAY, verbose_name="Issued", accessor="paper__issued_on", attrs=DATE)
    tax_point = DateColumn(DAY, verbose_name="Tax point", attrs=DATE)
    due_on = DateColumn(DAY, verbose_name="Due", attrs=DATE)
    net = MoneyColumn("Without VAT", footer=_sum("net"))
    vat = MoneyColumn("VAT", footer=_sum("vat"))
    gross = MoneyColumn("To pay", footer=_sum("gross"))
    credited = MoneyColumn("Credited", footer=_sum("credited"))
    currency = tables.Column("Currency")

    class Meta:
        model = Invoice
        fields = ("number", "shop", "issued", "tax_point", "due_on", "net", "vat", "gross", "credited", "currency")
        order_by = "-number"
        empty_text = "No invoice yet, or none that fits."

    def __init__(self, *args, sums=None, **kwargs):
        self.sums = sums
        super().__init__(*args, **kwargs)

    def render_gross(self, record, value):
        return in_pounds(value) if record.currency == "GBP" else f"{in_pounds(value)} {record.currency}"

    def render_credited(self, value):
        return in_pounds(value) if value else ""

    def value_gross(self, value):
        return value

    def value_credited(self, value):
        return f"{value:.2f}"

    def value_issued(self, value):
        return value.isoformat()

    value_tax_point = value_due_on = value_issued


class WaitingTable(tables.Table):
    """What is still to be invoiced, a row a shop."""

    caption = "Still to be invoiced"
    shop = tables.Column()
    numbers = tables.Column("Deliveries")
    oldest = DateColumn(DAY, verbose_name="Oldest left", attrs=DATE)
    last_day = DateColumn(DAY, verbose_name="Invoice by", attrs=DATE)
    net = MoneyColumn("Goods")
    act = tables.Column("", accessor="shop", orderable=False)

    class Meta:
        orderable = False
        empty_text = "Everything that has left is invoiced."

    def render_shop(self, value):
        return format_html('<a href="{}">{}</a>', value.get_absolute_url(), value)

    def render_numbers(self, value):
        shown = ", ".join(value[:4])
        return shown if len(value) <= 4 else f"{shown} and {len(value) - 4} more"

    def render_act(self, value):
        url = reverse("invoice_new", args=[value.pk])
        return format_html('<a href="{}">Make the invoice<span class="unseen"> of {}</span></a>', url, value.name)


class LineTable(tables.Table):
    """Lines of an issued invoice, or of a draft."""

    caption = "Lines of the invoice"
    picture = PictureColumn(
        lambda row: row.order_line.order.grade == SECONDS, accessor="order_line__candle", default=""
    )
    code = tables.Column(accessor="order_line__candle__code", default="")
    candle = tables.Column(
        accessor="order_line__candle",
        linkify=lambda record: record.order_line.candle.get_absolute_url() if record.order_line else None,
        empty_values=(),
    )
    pairs = tables.Column(attrs=RIGHT)
    order = tables.Column(
        "Order",
        accessor="order_line__order__number",
        linkify=lambda record: record.order_line.order.get_absolute_url(),
        default="",
    )
    price = MoneyColumn("Price a pair")
    discount = tables.Column("Discount (%)", attrs=RIGHT)
    percent = tables.Column("VAT", accessor="net", attrs=RIGHT)
    net = MoneyColumn("Net")

    class Meta:
        model = InvoiceLine
        fields = ("picture", "code", "candle", "order", "pairs", "price", "discount", "percent", "net")
        orderable = False

    def render_discount(self, value):
        return f"{value.normalize():f}"

    def render_candle(self, record):
        if record.order_line is None:
            return record.words
        candle = record.order_line.candle
        return f"{candle} (seconds)" if record.order_line.order.grade == SECONDS else str(candle)

    def render_percent(self, record):
        return rate_of(record)


class VatTable(tables.Table):
    """VAT of an invoice or a draft, a row a rate, so that each can be reckoned again by hand."""

    caption = "VAT by rate"
    percent = tables.Column("Rate", accessor="vat")
    goods = MoneyColumn("Goods", accessor="taxable")
    allowance = MoneyColumn("Discount")
    deposit = MoneyColumn("Deposit")
    carriage = MoneyColumn("Carriage")
    taxable = MoneyColumn("Without VAT")
    vat = MoneyColumn("VAT")

    class Meta:
        model = InvoiceVat
        fields = ("percent", "goods", "allowance", "deposit", "carriage", "taxable", "vat")
        orderable = False

    def __init__(self, rows, **kwargs):
        rows = list(rows)
        super().__init__(rows, **kwargs)
        for name in ("allowance", "deposit"):
            if not any(getattr(row, name) for row in rows):
                self.columns.hide(name)

    def render_percent(self, record):
        return rate_of(record)

    def render_goods(self, record):
        return in_pounds(record.goods)


class InvoicedTable(tables.Table):
    caption = "Deliveries on this invoice"
    delivery = tables.Column(accessor="note__number", linkify=lambda record: record.get_absolute_url())
    left_on = DateColumn(DAY, verbose_name="Left")
    order = tables.Column(accessor="order__number", linkify=lambda record: record.order.get_absolute_url())
    reference = tables.Column("Their reference", accessor="order__reference")

    class Meta:
        model = Delivery
        fields = ("delivery", "left_on", "order", "reference")
        orderable = False


def rate_of(row) -> str:
    """The rate in words, of an issued row or of a draft's."""
    return rate_in_words(getattr(row, "rate", None) or Rate(row.category, row.percent))
