"""Faults by share, and the frames beyond their limits."""

import django_tables2 as tables

from inventory.faults import FAULTS
from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn, PairsColumn
from inventory.words import per_cent

CAUSES = dict(FAULTS)


class FaultTable(tables.Table):
    caption = "Seconds by fault"
    fault = tables.Column()
    pairs = PairsColumn("Pairs")
    of_hung = tables.Column("Of all pairs hung", attrs=RIGHT, order_by="pairs", accessor="pairs")
    of_seconds = tables.Column("Of the seconds", attrs=RIGHT, order_by="pairs", accessor="pairs")
    frames = PairsColumn("Frames")
    later = PairsColumn("Found later")
    cause = tables.Column("What usually causes it", accessor="fault", orderable=False, attrs=SOFT)

    class Meta:
        empty_text = "No fault among these frames."

    def __init__(self, *args, hung: int, **kwargs):
        super().__init__(*args, **kwargs)
        self.hung = hung
        self.seconds = sum(row.pairs for row in self.data)

    def render_of_hung(self, value):
        return per_cent(value / self.hung, 1) if value else "–"

    def render_of_seconds(self, value):
        return per_cent(value / self.seconds) if value else "–"

    def render_cause(self, value):
        return CAUSES.get(value, "in the workshop's own words")


class OutOfControlTable(tables.Table):
    """Frames beyond their limits, named, with where and how hot they were dipped."""

    caption = "Frames beyond their limits"
    frame = tables.Column(linkify=lambda record: record["frame"].get_absolute_url())
    off = DateColumn(verbose_name="Taken off", format="j M Y", attrs=DATE)
    words = tables.Column("What is out")
    run = tables.Column(default="–")
    vat = tables.Column(default="–", attrs={"td": {"class": "nowrap"}})
    heat = tables.Column("Heat read before", default="–")
    faults = tables.Column("Faults", default="–", attrs=SOFT)

    class Meta:
        orderable = False
        empty_text = "Every frame lies within its limits."

    def render_heat(self, value):
        return f"{value:.1f} °C"
