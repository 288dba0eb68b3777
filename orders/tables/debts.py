import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from inventory.tables.columns import DATE, RIGHT, DateColumn
from orders.documents.statement import stands
from orders.money import in_pounds
from orders.tables.invoices import DAY, MoneyColumn


class AmountColumn(MoneyColumn):
    """As money; nought is a dash, which the eye passes over. `field` of the record's `aged` where one is named."""

    def render(self, value):
        return in_pounds(value) if value else "–"


def _sum(name):
    def footer(table):
        return in_pounds(getattr(table.total, name)) if table.total else ""

    return footer


class DebtTable(tables.Table):
    """Rows are ShopDebt; `total` is their Aged sum."""

    caption = "Who owes what, by age"
    shop = tables.Column(footer="All")
    oldest = DateColumn(DAY, verbose_name="Oldest due", attrs=DATE, default="–")
    current = AmountColumn("Not yet due", accessor="aged__current", footer=_sum("current"))
    days_30 = AmountColumn("1 to 30 days late", accessor="aged__days_30", footer=_sum("days_30"))
    days_60 = AmountColumn("31 to 60", accessor="aged__days_60", footer=_sum("days_60"))
    days_90 = AmountColumn("61 to 90", accessor="aged__days_90", footer=_sum("days_90"))
    older = AmountColumn("Over 90", accessor="aged__older", footer=_sum("older"))
    on_account = AmountColumn("On account", accessor="aged__on_account", footer=_sum("on_account"))
    owed = MoneyColumn("Owes", footer=_sum("owed"))
    step = tables.Column("What to do", orderable=False, attrs={"td": {"class": "reason"}})

    class Meta:
        # Who, how much, since when, and what to do: these four are seen on a tablet too.
        sequence = ("shop", "owed", "oldest", "step", "...")
        empty_text = "Nobody owes anything."

    def __init__(self, *args, total, **kwargs):
        self.total = total
        super().__init__(*args, **kwargs)
        # An age nobody is in, and an account nobody has, would only widen the table.
        for name in ("days_60", "days_90", "older", "on_account"):
            if not getattr(total, name):
                self.columns.hide(name)

    def render_shop(self, record):
        url = f"{reverse('shop_ledger', args=[record.shop.pk])}?currency={record.currency}"
        said = [record.shop.town, "" if record.currency == "GBP" else record.currency]
        said.append("on stop" if record.shop.on_stop else "")
        return format_html(
            '<a href="{}">{}</a><br><small>{}</small>', url, record.shop.name, ", ".join(filter(None, said))
        )

    def value_shop(self, record):
        return str(record.shop)

    def render_step(self, record, value):
        if "reminder" in value and record.oldest:
            url = f"{reverse('reminder_new', args=[record.shop.pk])}?currency={record.currency}"
            unseen = format_html('<span class="unseen"> to {}</span>', record.shop.name)
            return format_html('<a href="{}">{}{}</a>', url, value, unseen)
        return value

    def value_step(self, value):
        return value

    def value_oldest(self, value):
        return value.isoformat() if value else ""


class OpenTable(tables.Table):
    """Rows are OpenPaper. With a form each row has the field for its part of a payment."""

    caption = "Open papers"
    number = tables.Column("Paper", linkify=lambda record: record.row.get_absolute_url(), attrs=DATE)
    issued_on = DateColumn(DAY, verbose_name="Issued", attrs=DATE)
    due_on = DateColumn(DAY, verbose_name="Due", attrs=DATE)
    stands = tables.Column("Stands", accessor="due_on", orderable=False)
    amount = MoneyColumn("Amount")
    open = MoneyColumn("Open")
    part = tables.Column("Of this payment", accessor="key", attrs=RIGHT)

    class Meta:
        orderable = False
        empty_text = "Nothing is open."

    def __init__(self, rows, *, today, form=None, **kwargs):
        self.today, self.form = today, form
        super().__init__(rows, **kwargs)
        if form is None:
            self.columns.hide("part")

    def render_stands(self, value):
        return stands(value, self.today)

    def render_part(self, record):
        field = self.form[f"part_{record.key}"]
        label = format_html('<label class="unseen" for="{}">{}</label>', field.id_for_label, field.label)
        return format_html("{}{}{}", label, field, field.errors)


class LedgerTable(tables.Table):
    """Rows are Entry, the newest first."""

    caption = "Everything invoiced, credited and paid"
    on = DateColumn(DAY, verbose_name="Day", attrs=DATE)
    what = tables.Column(linkify=lambda record: record.url)
    debit = AmountColumn("Owed")
    credit = AmountColumn("Paid or credited")
    balance = MoneyColumn("Balance")

    class Meta:
        orderable = False
        empty_text = "Nothing was invoiced or paid yet."


class MovedTable(tables.Table):
    """Movements as a statement prints them."""

    caption = "What was invoiced and paid"
    on = tables.Column("Day", attrs=DATE)
    what = tables.Column()
    debit = tables.Column("Owed", attrs=RIGHT, default="")
    credit = tables.Column("Paid or credited", attrs=RIGHT, default="")
    balance = tables.Column("Balance", attrs=RIGHT)

    class Meta:
        orderable = False

    def __init__(self, paper: dict, **kwargs):
        forward = {"on": paper["since"], "what": "Balance brought forward", "balance": paper["forward"]}
        super().__init__([forward, *paper["entries"]], **kwargs)


class OpenRowTable(tables.Table):
    """Open papers as a statement or a reminder prints them."""

    caption = "Open papers"
    number = tables.Column("Paper", attrs=DATE)
    issued_on = tables.Column("Date", attrs=DATE)
    due_on = tables.Column("Due", attrs=DATE)
    stands = tables.Column()
    amount = tables.Column("Amount", attrs=RIGHT)
    open = tables.Column("Open", attrs=RIGHT)

    class Meta:
        orderable = False


class PartTable(tables.Table):
    """Rows are (paper, key, amount) of one payment, counter postings taken off already."""

    caption = "What this payment settles"
    paper = tables.Column("Paper")
    amount = MoneyColumn("Of this payment")
    act = tables.Column("", accessor="key")

    class Meta:
        orderable = False
        empty_text = "None of it is put against a paper."

    def __init__(self, rows, *, payment, may_change, **kwargs):
        self.payment = payment
        super().__init__(rows, **kwargs)
        if not may_change:
            self.columns.hide("act")

    def render_paper(self, value):
        return format_html('<a href="{}">{}</a>', value.get_absolute_url(), value)

    def render_act(self, record):
        url = f"{reverse('payment_off', args=[self.payment.pk])}?key={record['key']}"
        unseen = format_html('<span class="unseen"> {}</span>', record["paper"])
        return format_html('<a href="{}">Take it off{}</a>', url, unseen) if record["key"][0] in "il" else ""


class LetterTable(tables.Table):
    caption = "Letters"
    written_at = DateColumn(f"{DAY} H:i", verbose_name="Written", attrs=DATE)
    subject = tables.Column(linkify=True)
    shop = tables.Column("Shop", accessor="shop__name")
    to = tables.Column("To")
    state = tables.Column("Stands", attrs={"td": {"class": "reason"}})

    class Meta:
        orderable = False
        empty_text = "No letter yet."

    def render_state(self, record):
        return letter_state(record)


def letter_state(letter) -> str:
    """How a letter stands, in words."""
    if letter.state == "sent":
        return "sent" if letter.went_to == "server" else "put into the folder; no mail server is named"
    if letter.state == "failed":
        return f"not sent: {letter.error}"
    if letter.stranded:
        return "broken off while it was sent: it may have gone"
    return {"waiting": "waits to be sent", "sending": "is being sent", "dropped": "dropped, not sent"}[letter.state]


AGE_WORDS = {
    "current": "not yet due", "days_30": "up to 30 days late", "days_60": "31 to 60 days late",
    "days_90": "61 to 90 days late", "older": "over 90 days late",
}  # fmt: skip


def ages_line(aged) -> str:
    """The ages that hold something, for a sentence: "80.00 not yet due, 120.00 31 to 60 days late"."""
    parts = [(in_pounds(getattr(aged, field)), words) for field, words in AGE_WORDS.items() if getattr(aged, field)]
    return ", ".join(f"{amount} is {words}" for amount, words in parts)
