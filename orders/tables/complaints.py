import django_tables2 as tables
from django.urls import reverse

from inventory.tables.columns import DATE, SOFT, DateColumn, PairsColumn, PictureColumn
from orders.models import Complaint


class ComplaintTable(tables.Table):
    caption = "Complaints"
    picture = PictureColumn(second=lambda row: row.lot.grade == "seconds", accessor="lot__candle")
    told_on = DateColumn(verbose_name="Told on", format="j M Y", attrs=DATE, linkify=True)
    shop = tables.Column(order_by="shop__name")
    lot = tables.Column(
        linkify=lambda record: reverse("trace_of", args=["lot", record.lot_id]), order_by="lot__code",
        attrs={"td": {"class": "nowrap"}},
    )  # fmt: skip
    candle = tables.Column(accessor="lot__candle", order_by="lot__candle__name")
    fault = tables.Column()
    pairs = PairsColumn("Pairs")
    done = tables.Column("What was done", empty_values=(), orderable=False, attrs=SOFT)

    class Meta:
        model = Complaint
        fields = ("picture", "told_on", "shop", "lot", "candle", "fault", "pairs", "done")
        empty_text = "No complaint fits."

    def render_done(self, record):
        return record.done or "open"

    def value_told_on(self, value):
        return value
