import django_tables2 as tables
from django.utils.html import format_html

from inventory.tables.columns import DATE, DateColumn
from orders.documents.ledger_parts import rate_in_words
from orders.models import Payment, PeriodClose
from orders.money import Rate, in_pounds
from orders.tables.invoices import DAY, MoneyColumn


def _sum(name):
    def footer(table):
        return in_pounds(sum(getattr(row.record if hasattr(row, "record") else row, name) for row in table.data))

    return footer


class DayBookTable(tables.Table):
    caption = "Day book"
    on = DateColumn(DAY, verbose_name="Date", attrs=DATE, footer="All")
    number = tables.Column(
        "Paper", accessor="paper__number", linkify=lambda record: record.paper.get_absolute_url(), attrs=DATE
    )
    shop = tables.Column(linkify=lambda record: record.shop.get_absolute_url())
    kind = tables.Column("Kind")
    tax_point = DateColumn(DAY, verbose_name="Tax point", attrs=DATE)
    net = MoneyColumn("Without VAT", footer=_sum("net"))
    vat = MoneyColumn("VAT", footer=_sum("vat"))
    gross = MoneyColumn("In all, GBP", footer=_sum("gross"))
    foreign = tables.Column("As printed", attrs={"th": {"class": "num"}, "td": {"class": "num"}})

    class Meta:
        empty_text = "Nothing was issued in these days."
        orderable = False

    def before_render(self, request):
        # On the page only: a column nobody needs would push the others off a tablet. Exports keep all their columns.
        if not any(row.foreign for row in self.data):
            self.columns.hide("foreign")

    def value_on(self, value):
        return value

    def value_tax_point(self, value):
        return value


class VatTable(tables.Table):
    caption = "VAT on sales by rate"
    kind = tables.Column("Papers", footer="All")
    rate = tables.Column("Rate", accessor="category", empty_values=())
    papers = tables.Column("How many", attrs={"th": {"class": "num"}, "td": {"class": "num"}})
    net = MoneyColumn("Without VAT, GBP", footer=_sum("net"))
    vat = MoneyColumn("VAT, GBP", footer=_sum("vat"))

    class Meta:
        empty_text = "No sale has its tax point in these days."
        orderable = False

    def render_kind(self, value):
        return f"{value}s" if not value.endswith("discount") else f"{value}s taken"

    def render_rate(self, record):
        return rate_in_words(Rate(record.category, record.percent)) if record.category else "as invoiced"


class ReceiptTable(tables.Table):
    caption = "Money that came and went"
    on = DateColumn(DAY, verbose_name="Date", attrs=DATE)
    shop = tables.Column(linkify=lambda record: record.shop.get_absolute_url())
    kind = tables.Column("What", linkify=lambda record: record.get_absolute_url())
    how = tables.Column("How")
    reference = tables.Column("As the bank wrote it", accessor="reference")
    against = tables.Column("For", default="on account", attrs={"td": {"class": "reason"}})
    signed = MoneyColumn("Amount")
    currency = tables.Column("Currency")

    class Meta:
        model = Payment
        fields = ("on", "shop", "kind", "how", "reference", "against", "signed", "currency")
        empty_text = "No money came or went in these days."
        orderable = False

    def render_currency(self, record):
        return record.currency

    def value_on(self, value):
        return value


class CloseTable(tables.Table):
    caption = "Closed and opened"
    at = DateColumn("j M Y, H:i", verbose_name="When", attrs=DATE)
    until = DateColumn(DAY, verbose_name="Closed until", default="open", attrs=DATE)
    by = tables.Column("Who")
    reason = tables.Column("Why opened", default="–")

    class Meta:
        model = PeriodClose
        fields = ("at", "until", "by", "reason")
        empty_text = "The books were never closed."
        orderable = False

    def render_until(self, value):
        return format_html("<strong>{}</strong>", f"{value.day} {value:%B %Y}")
