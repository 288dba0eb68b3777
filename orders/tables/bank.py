import django_tables2 as tables
from django.utils.html import format_html, format_html_join
from django.utils.safestring import mark_safe

from inventory.tables.columns import DATE, RIGHT, DateColumn
from orders.money import in_pounds
from orders.tables.invoices import DAY, MoneyColumn


class BeginTable(tables.Table):
    """The first lines of a bank's file, under its own column names."""

    caption = "How the file begins"

    class Meta:
        orderable = False

    def __init__(self, header, rows, **kwargs):
        names = [(f"c{place}", tables.Column(name or "(no name)")) for place, name in enumerate(header)]
        cells = [{f"c{place}": cell[:60] for place, cell in enumerate(row)} for row in rows]
        super().__init__(cells, extra_columns=names, **kwargs)


class BankFileTable(tables.Table):
    caption = "Files of the bank"
    name = tables.Column("File", linkify=True)
    columns_of = tables.Column("Account", accessor="columns", default="columns not said yet")
    read_at = DateColumn(DAY, verbose_name="Taken in", attrs=DATE)
    waiting = tables.Column("Waiting", attrs=RIGHT)
    posted = tables.Column("Posted", attrs=RIGHT)
    aside_lines = tables.Column("Put aside", attrs=RIGHT)

    class Meta:
        orderable = False
        empty_text = "No file yet."


class ProposalTable(tables.Table):
    """Rows are Proposal. A tick posts the line as proposed; those that are sure are ticked beforehand."""

    caption = "Lines waiting, and what is proposed"
    tick = tables.Column("Post", accessor="line__pk")
    on = DateColumn(DAY, verbose_name="Day", accessor="line__on", attrs=DATE)
    amount = MoneyColumn("Amount", accessor="line__amount")
    text = tables.Column("The bank says", accessor="line", attrs={"td": {"class": "reason"}})
    shop = tables.Column("Shop", default="–")
    goes_to = tables.Column("For", default="–", attrs={"td": {"class": "nowrap"}})
    why = tables.Column("Because", accessor="match__why", attrs={"td": {"class": "reason"}})
    act = tables.Column("", accessor="line__pk", attrs={"td": {"class": "nowrap"}})

    class Meta:
        orderable = False
        empty_text = "No line of this file waits."

    def __init__(self, rows, *, chosen: dict[int, str], **kwargs):
        self.chosen = chosen
        super().__init__(rows, **kwargs)

    def render_tick(self, record):
        if record.match.shop is None:
            return ""
        checked = mark_safe(" checked") if record.pk in self.chosen else ""
        words = f"Post line {record.line.line}, {in_pounds(record.line.amount)} from {record.shop}"
        mark = f"line-{record.pk}"
        box = format_html(
            '<input type="checkbox" name="line" value="{}:{}" id="{}"{}>', record.pk, record.seen, mark, checked
        )
        return format_html('{}<label class="unseen" for="{}">{}</label>', box, mark, words)

    def render_shop(self, value):
        return value.name

    def render_goes_to(self, value):
        return format_html_join(mark_safe("<br>"), "{}", ((part,) for part in value.split(", ")))

    def render_act(self, record):
        unseen = format_html('<span class="unseen"> line {}</span>', record.line.line)
        return format_html('<a href="{}">By hand{}</a>', record.line.get_absolute_url(), unseen)


class DoneLineTable(tables.Table):
    caption = "Lines dealt with"
    on = DateColumn(DAY, verbose_name="Day", attrs=DATE)
    amount = MoneyColumn("Amount")
    text = tables.Column("The bank says", accessor="pk")
    fate = tables.Column("Became", accessor="pk")

    class Meta:
        orderable = False
        empty_text = "None yet."

    def render_text(self, record):
        return str(record)

    def render_fate(self, record):
        if record.payment is not None:
            return format_html(
                '<a href="{}">Payment of {}</a>', record.payment.get_absolute_url(), record.payment.shop.name
            )
        return format_html('<a href="{}">Put aside</a>: {}', record.get_absolute_url(), record.aside)
