import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html, format_html_join

from inventory.material_words import BOUGHT_IN, amount_in_words, as_bought
from inventory.tables.columns import RIGHT
from inventory.words import counted
from orders.buying import asked_by, lasts, order_by
from orders.standing import short_day
from production.needs import by_week

WRAP = {"td": {"class": "wrap"}}


class BuyTable(tables.Table):
    """Rows are Buying; the table stands in one form, and each row that wants ordering has its button."""

    caption = "What to buy"
    material = tables.Column(accessor="material__name")
    there = tables.Column("In hand", empty_values=(), attrs=RIGHT)
    needed = tables.Column("Needed", accessor="known__outlook__needed", attrs=RIGHT)
    lasts = tables.Column("Lasts", empty_values=(), attrs=WRAP)
    when = tables.Column("Order", empty_values=(), attrs=WRAP)

    class Meta:
        orderable = False
        empty_text = "No material is bought here yet."

    def __init__(self, rows, *, today, buys, **kwargs):
        self.today, self.buys = today, buys
        super().__init__(rows, **kwargs)

    def render_material(self, record, value):
        link = format_html('<a href="{}">{}</a>', record.material.get_absolute_url(), value)
        if supplier := record.material.supplier:
            return _with(link, [f"{supplier.name}, {counted(supplier.lead_days, 'day')}"])
        return link

    def render_there(self, record):
        held, unit = record.known.held, record.material.unit
        told = [f"{amount_in_words(held.in_vats, unit)} of it in the vats"] if held.in_vats else []
        told += [f"always keep {amount_in_words(held.keep, unit)}"] if held.keep else []
        told += [self._under_way(row, unit) for row in record.purchases]
        return _with(amount_in_words(held.on_hand, unit), told)

    def _under_way(self, row, unit: str) -> str:
        due = "overdue since" if row.due_on < self.today else "due"
        return f"{amount_in_words(row.amount, unit)} under way, {due} {short_day(row.due_on, self.today)}"

    def render_needed(self, record, value):
        unit = record.material.unit
        return _with(amount_in_words(value, unit), asked_by(record.needs, unit)) if value else "–"

    def render_lasts(self, record):
        return lasts(record.known.outlook, self.today)

    def render_when(self, record):
        said, outlook = order_by(record.known, self.today), record.known.outlook
        if not self.buys or not outlook.order or record.material.supplier is None:
            return said
        fields = format_html_join(
            "",
            '<input type="hidden" name="{}_{}" value="{}">',
            [("amount", record.pk, outlook.order), ("seen", record.pk, record.under_way)],
        )
        return format_html(
            '{}{}<span class="acts"><button class="outline" name="order" value="{}">Order {}'
            '<span class="unseen"> of {}</span></button> '
            '<a href="{}">another amount<span class="unseen"> of {}</span></a></span>',
            said, fields, record.pk, amount_in_words(outlook.order, record.material.unit), record.material,
            reverse("purchase_new", args=[record.pk]), record.material,
        )  # fmt: skip


def _with(first: str, told: list[str]) -> str:
    """What matters with quiet lines beneath it."""
    return format_html(
        "{}{}", first, format_html_join("", '<span class="beneath">{}</span>', ((row,) for row in told))
    )


class AmountColumn(tables.Column):
    """An amount of the row's material in the unit one buys in; the bare figure in a file."""

    def __init__(self, *args, amount, **kwargs):
        self.amount = amount
        super().__init__(*args, empty_values=(), **{"attrs": RIGHT, **kwargs})

    def render(self, record):
        amount = self.amount(record)
        return amount_in_words(amount, record.material.unit) if amount else "–"

    def value(self, record, **kwargs):
        return as_bought(self.amount(record), record.material.unit)


class WeekTable(tables.Table):
    """The same rows week by week; as a file it tells all that is known of a material."""

    caption = "Needed week by week"
    ONLY_IN_THE_FILE = (
        "kind",
        "supplier",
        "unit",
        "on_hand",
        "in_vats",
        "keep",
        "coming",
        "lasts",
        "when",
        "order",
    )

    material = tables.Column(accessor="material__name")
    kind = tables.Column(accessor="material__kind")
    supplier = tables.Column(accessor="material__supplier", default="")
    unit = tables.Column("In", empty_values=())
    on_hand = AmountColumn("In hand", amount=lambda row: row.known.held.on_hand)
    in_vats = AmountColumn("Of it in the vats", amount=lambda row: row.known.held.in_vats)
    keep = AmountColumn("Always keep", amount=lambda row: row.known.held.keep)
    coming = AmountColumn("Under way", amount=lambda row: row.under_way)
    needed = AmountColumn("In all", amount=lambda row: row.known.outlook.needed)
    lasts = tables.Column("Lasts", empty_values=())
    when = tables.Column("Order", empty_values=())
    order = AmountColumn("To order", amount=lambda row: row.known.outlook.order)

    class Meta:
        orderable = False
        empty_text = "Nothing is needed."

    def __init__(self, rows, *, today, mondays, **kwargs):
        self.today = today
        names = ["This week", *(f"From {short_day(monday, today)}" for monday in mondays[1:]), "Later"]
        weeks = [(f"week{n}", self._week(name, n, mondays)) for n, name in enumerate(names)]
        before = ("material", *self.ONLY_IN_THE_FILE[:7], "needed")
        super().__init__(rows, extra_columns=weeks, sequence=(*before, *(name for name, _ in weeks), "..."), **kwargs)

    @staticmethod
    def _week(name: str, n: int, mondays) -> AmountColumn:
        return AmountColumn(name, amount=lambda row: by_week(row.needs, mondays)[n])

    def render_unit(self, record):
        return BOUGHT_IN[record.material.unit][0]

    def render_lasts(self, record):
        return lasts(record.known.outlook, self.today)

    def render_when(self, record):
        return order_by(record.known, self.today)
