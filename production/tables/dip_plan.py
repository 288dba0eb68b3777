"""The dip plan's tables: late lines, lines a frame serves, pins, and a trial beside the plan that stands."""

from dataclasses import dataclass
from datetime import date

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from inventory.models import Candle
from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn, PairsColumn, PictureColumn
from production.models import PlannedFor, PlanPin, PlanSearch

WRAP = {"td": {"class": "wrap"}}
REASON = {"td": {"class": "wrap reason"}}


@dataclass(frozen=True)
class LateRow:
    """One late line. `late` in words; `order`: how late, for sorting."""

    candle: Candle | None
    name: str
    whom: str
    pairs: int
    due: date
    ready: str
    late: str
    order: int
    why: str


class LateTable(tables.Table):
    caption = "Late lines, and why"
    picture = PictureColumn(accessor="candle")
    whom = tables.Column("For whom", attrs=WRAP)
    name = tables.Column("Candle")
    pairs = PairsColumn()
    due = DateColumn(format="j M", verbose_name="Wanted by", attrs=DATE)
    ready = tables.Column("Ready", orderable=False, attrs=DATE)
    late = tables.Column("Late by", order_by="order", attrs=DATE)
    why = tables.Column("Why", orderable=False, attrs=REASON)

    class Meta:
        empty_text = "No line is late."

    def render_picture(self, record):
        return PictureColumn().render(record.candle, record.candle) if record.candle else ""


class ServesTable(tables.Table):
    """Lines a planned frame serves."""

    caption = "Lines it serves"
    whom = tables.Column("For whom", accessor="want__for_whom", attrs=WRAP)
    pairs = PairsColumn("Pairs of firsts")
    due = DateColumn(format="j M", verbose_name="Wanted by", accessor="want__wanted_by", attrs=DATE)
    late = tables.Column("Stands", empty_values=(), attrs=SOFT)

    class Meta:
        model = PlannedFor
        fields = ("whom", "pairs", "due", "late")
        orderable = False
        empty_text = "Nobody waits for its pairs: they go to the shelf."

    def render_late(self, record):
        days = (record.frame.ready_on - record.want.wanted_by).days
        if days > 0:
            return f"late by {days} day{'' if days == 1 else 's'}"
        return "in time" if days else "in time, on the day"


class PinTable(tables.Table):
    """What is pinned; only the owner is shown the button that lets it go."""

    caption = "Pins"
    what = tables.Column("Held fast", accessor="words", attrs=WRAP)
    made_by = tables.Column("By", attrs=SOFT)
    go = tables.TemplateColumn(
        '<form method="post" action="{% url "dip_plan_unpin" record.pk %}">{% csrf_token %}'
        '<button class="outline">Let it go<span class="unseen">: {{ record.words }}</span></button></form>',
        verbose_name="",
        attrs={"td": {"class": "does"}},
    )

    class Meta:
        model = PlanPin
        fields = ("what", "made_by", "go")
        orderable = False
        empty_text = "Nothing is pinned: the plan chooses freely."

    def __init__(self, rows, *, acts: bool):
        super().__init__(rows)
        if not acts:
            self.columns.hide("go")


@dataclass(frozen=True)
class SideRow:
    """One figure of two plans."""

    what: str
    stands: str
    trial: str


class SideTable(tables.Table):
    caption = "The two plans side by side"
    what = tables.Column("", attrs=SOFT)
    stands = tables.Column("As planned", attrs=RIGHT)
    trial = tables.Column("In the trial", attrs=RIGHT)

    class Meta:
        orderable = False


@dataclass(frozen=True)
class MovedRow:
    """A line that is ready on another day in the trial. `moves` in words, `order` in days."""

    whom: str
    name: str
    pairs: int
    due: date
    stands: str
    trial: str
    moves: str
    order: int


class MovedTable(tables.Table):
    caption = "Lines whose day changes"
    whom = tables.Column("For whom", attrs=WRAP)
    name = tables.Column("Candle")
    pairs = PairsColumn()
    due = DateColumn(format="j M", verbose_name="Wanted by", attrs=DATE)
    stands = tables.Column("As planned", orderable=False, attrs=DATE)
    trial = tables.Column("In the trial", orderable=False, attrs=DATE)
    moves = tables.Column("That is", order_by="order", attrs=SOFT)

    class Meta:
        empty_text = "No line is ready on another day."


class TrialTable(tables.Table):
    """Trials made before, the last first."""

    caption = "Trials"
    what = tables.Column("What was tried", accessor="words", attrs=WRAP)
    asked_at = DateColumn(format="j M, H:i", verbose_name="When", attrs=DATE)
    stands = tables.Column("Stands", accessor="told", attrs=SOFT)

    class Meta:
        model = PlanSearch
        fields = ("what", "asked_at", "stands")
        orderable = False
        empty_text = "Nothing was tried yet."

    def render_what(self, value, record):
        return format_html('<a href="{}">{}</a>', reverse("dip_plan_trial", args=[record.pk]), value)
