import django_tables2 as tables

from inventory.tables.columns import RIGHT, SOFT
from inventory.words import per_cent
from production.balance_words import vat_reason
from production.tables.remelt import KilogramColumn


class BalanceTable(tables.Table):
    """Rows are dicts: what, grams, share of the wax in, and how it is known."""

    caption = "Where the wax went"
    what = tables.Column("")
    grams = KilogramColumn("Wax")
    share = tables.Column("Of the wax in", attrs=RIGHT)
    known = tables.Column("How it is known", attrs=SOFT)

    class Meta:
        orderable = False
        row_attrs = {"class": lambda record: "adds-up" if record["sum"] else None}

    def render_share(self, value):
        return per_cent(value, 1) if value else "–"


class VatLossTable(tables.Table):
    """Rows are AtVat."""

    caption = "Loss by vat"
    vat = tables.Column(linkify=lambda record: record.vat.get_absolute_url())
    topped_up = KilogramColumn("Topped up", accessor="whole__topped_up", default="–")
    left = KilogramColumn("Left the vat", accessor="whole__left", default="–")
    taken = KilogramColumn("Hangs on candles", accessor="whole__taken", default="–")
    loss = KilogramColumn("Loss", accessor="whole__loss", default="–")
    share = tables.Column("Of what left", empty_values=(), attrs=RIGHT)
    known = tables.Column("How it is known", empty_values=(), attrs=SOFT)

    class Meta:
        orderable = False
        empty_text = "There is no vat."

    def render_known(self, record):
        return vat_reason(record.whole, record.stretches)

    def render_share(self, record):
        whole = record.whole
        return per_cent(whole.loss / whole.left, 1) if whole and whole.left > 0 else "–"
