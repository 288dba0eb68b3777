"""Tables of credit notes, of what is left to credit, of what came back, and of exports without evidence."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from inventory.models import SECONDS
from inventory.tables.columns import DATE, RIGHT, DateColumn, PictureColumn
from orders.models import CreditNote, CreditNoteLine, ExportEvidence
from orders.money import in_pounds
from orders.tables.invoices import DAY, MoneyColumn, rate_of


def input_of(field) -> str:
    """A field in a table's cell: its label is for those who hear the page, its errors stand beneath it."""
    if field is None:
        return ""
    label = format_html('<label class="unseen" for="{}">{}</label>', field.id_for_label, field.label)
    return format_html("{}{}{}", label, field, field.errors)


class CreditNoteTable(tables.Table):
    caption = "Credit notes"
    # Numbers and keys run alike; by the key only the rows shown are added up, not all of ten years.
    number = tables.Column("Credit note", accessor="paper__number", order_by="pk", linkify=True, attrs=DATE)
    invoice = tables.Column("Off invoice", linkify=lambda record: record.invoice.get_absolute_url(), attrs=DATE)
    shop = tables.Column(linkify=lambda record: record.shop.get_absolute_url(), order_by=("shop__name", "-pk"))
    issued = DateColumn(DAY, verbose_name="Issued", accessor="paper__issued_on", attrs=DATE)
    why = tables.Column("For")
    net = MoneyColumn("Without VAT")
    vat = MoneyColumn("VAT")
    gross = MoneyColumn("Credited")

    class Meta:
        model = CreditNote
        fields = ("number", "invoice", "shop", "issued", "why", "net", "vat", "gross")
        order_by = "-number"
        empty_text = "No credit note yet."

    def render_gross(self, record, value):
        return in_pounds(value) if record.currency == "GBP" else f"{in_pounds(value)} {record.currency}"


class CreditLineTable(tables.Table):
    """Lines of an issued credit note, or of a draft."""

    caption = "What is credited"
    line = tables.Column("Line", accessor="invoice_line__position", attrs=RIGHT)
    candle = tables.Column("Candle", accessor="invoice_line", order_by=())
    pairs = tables.Column(attrs=RIGHT)
    price = MoneyColumn("Price a pair", accessor="invoice_line__price")
    discount = tables.Column("Discount (%)", accessor="invoice_line__discount", attrs=RIGHT)
    rate = tables.Column("VAT", accessor="invoice_line", attrs=RIGHT)
    net = MoneyColumn("Net")

    class Meta:
        model = CreditNoteLine
        fields = ("line", "candle", "pairs", "price", "discount", "rate", "net")
        orderable = False

    def render_candle(self, value):
        return name_of(value)

    def render_pairs(self, value):
        return value or "an amount"

    def render_discount(self, value):
        return f"{value.normalize():f}"

    def render_rate(self, value):
        return rate_of(value)


def name_of(line) -> str:
    """The candle of an invoice's line; a deposit and firelighters have none."""
    if line.order_line is None:
        return line.words
    seconds = " (seconds)" if line.order_line.order.grade == SECONDS else ""
    return f"{line.order_line.candle.code} {line.order_line.candle}{seconds}"


class ToCreditTable(tables.Table):
    """Rows are LineLeft; each has fields of the form for what is credited of it."""

    caption = "What is left of the invoice"
    line = tables.Column(accessor="line__position", attrs=RIGHT)
    candle = tables.Column(accessor="line")
    price = MoneyColumn("Price a pair", accessor="line__price")
    pairs = tables.Column("Pairs left", attrs=RIGHT)
    net = MoneyColumn("Net left")
    take = tables.Column("Pairs credited", accessor="line", attrs=RIGHT)
    amount = tables.Column("or an amount off", accessor="line", attrs=RIGHT)

    class Meta:
        orderable = False
        empty_text = "Nothing is left of its lines."

    def __init__(self, rows, *, form, **kwargs):
        self.form = form
        super().__init__(rows, **kwargs)

    def render_candle(self, value):
        return name_of(value)

    def render_take(self, record):
        return input_of(self.form.cell("pairs", record))

    def render_amount(self, record):
        return input_of(self.form.cell("amount", record))


class CameBackTable(tables.Table):
    """Rows are delivery lines; each has fields of the form for what came back of it."""

    caption = "What came back, by lot"
    picture = PictureColumn(lambda row: row.lot.grade == SECONDS, accessor="lot__candle")
    candle = tables.Column(accessor="lot__candle")
    lot = tables.Column(accessor="lot__code", attrs=DATE)
    most = tables.Column("At most", accessor="pk", attrs=RIGHT)
    firsts = tables.Column("Firsts", accessor="pk", attrs=RIGHT)
    seconds = tables.Column("Seconds", accessor="pk", attrs=RIGHT)
    fault = tables.Column("Their fault", accessor="pk")
    broken = tables.Column("Broken", accessor="pk", attrs=RIGHT)

    class Meta:
        orderable = False
        empty_text = "All of it came back already."

    def __init__(self, rows, *, form, most, **kwargs):
        self.form, self.most = form, most
        super().__init__(rows, **kwargs)

    def render_most(self, record):
        return f"{self.most[record.pk]:,}"

    def render_firsts(self, record, bound_column):
        return input_of(self.form.cell(bound_column.name, record))

    render_seconds = render_fault = render_broken = render_firsts


class EvidenceTable(tables.Table):
    caption = "Exports that wait for their evidence"
    invoice = tables.Column(linkify=lambda record: record.invoice.get_absolute_url(), attrs=DATE)
    shop = tables.Column(accessor="invoice__shop")
    net = MoneyColumn("Without VAT", accessor="invoice__net")
    due_by = DateColumn(DAY, verbose_name="Evidence by", attrs=DATE)
    stands = tables.Column("Stands", accessor="due_by")
    act = tables.Column("", accessor="pk")

    class Meta:
        model = ExportEvidence
        fields = ("invoice", "shop", "net", "due_by", "stands", "act")
        orderable = False

    def __init__(self, *args, today, **kwargs):
        self.today = today
        super().__init__(*args, **kwargs)

    def render_net(self, record, value):
        return f"{in_pounds(value)} {record.invoice.currency}"

    def render_stands(self, value):
        return "VAT is due on it" if value < self.today else f"{(value - self.today).days} days left"

    def render_act(self, record):
        url = reverse("export_evidence", args=[record.invoice_id])
        return format_html('<a href="{}">Put it down<span class="unseen"> for {}</span></a>', url, record.invoice)
