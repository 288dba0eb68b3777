import django_tables2 as tables

from inventory.tables.columns import DATE, RIGHT, DateColumn
from orders.late_payment import day_rate, interest_on
from orders.models import BaseRate
from orders.money import in_pounds
from orders.tables.invoices import DAY, MoneyColumn


class StretchTable(tables.Table):
    """The days of an offer, each stretch with what was owed through it."""

    caption = "What was owed late, and through which days"
    since = DateColumn(DAY, verbose_name="From", attrs=DATE)
    until = DateColumn(DAY, verbose_name="To", attrs=DATE)
    days = tables.Column("Days", attrs=RIGHT)
    debt = MoneyColumn("Owed")
    day = tables.Column("A day", accessor="debt", attrs=RIGHT)
    exact = tables.Column("Interest", accessor="days", attrs=RIGHT)

    class Meta:
        orderable = False
        empty_text = "No day that is not charged already."

    def __init__(self, offer, **kwargs):
        self.percent = offer.rate.percent
        super().__init__(offer.stretches, **kwargs)

    def render_day(self, record):
        return in_pounds(day_rate(record.debt, self.percent))

    def render_exact(self, record):
        return in_pounds(interest_on([record], self.percent, "exact"))


class BaseRateTable(tables.Table):
    since = DateColumn(format=DAY, linkify=("base_rate", {"pk": tables.A("pk")}))
    percent = tables.Column("Base rate (%)", attrs=RIGHT)

    class Meta:
        model = BaseRate
        fields = ("since", "percent")
        empty_text = "No base rate yet."
