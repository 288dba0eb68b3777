"""Steps of a run, the last first."""

import django_tables2 as tables

from inventory.tables.columns import SOFT, DateColumn
from production.domain.undo import in_words
from production.models import Step


class StepTable(tables.Table):
    caption = "What was done in this run"
    at = DateColumn(format="j M H:i", verbose_name="When", attrs={"td": {"class": "nowrap"}})
    what = tables.Column("What", empty_values=(), orderable=False)
    reason = tables.Column("Why, or what differed", orderable=False, attrs=SOFT)
    person = tables.Column("Who", orderable=False)

    class Meta:
        model = Step
        fields = ("at", "what", "reason", "person")
        orderable = False
        empty_text = "Nothing was done here yet."

    def render_what(self, record):
        by = " by the clock" if record.before.get("clock") else ""
        said = in_words(record)
        return f"{said[0].upper()}{said[1:]}{by}{', undone' if record.undone else ''}"

    def render_reason(self, record, value):
        return "; ".join([value, *record.before.get("differences", ())])
