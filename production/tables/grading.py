"""Tables of frames: waiting to be graded, and what is known of one."""

import django_tables2 as tables
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html

from inventory.material_words import amount_in_words
from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn, PairsColumn, PictureColumn
from inventory.words import measure
from production.domain.grading import is_hard
from production.models import Frame, FrameUse, GaugeReading, RunFrame, Step

WHEN = "j M Y, H:i"


class FramesToGradeTable(tables.Table):
    caption = "Frames taken off"
    picture = PictureColumn(accessor="candle")
    code = tables.Column("Frame", linkify=True)
    candle = tables.Column(accessor="candle", order_by="candle__name")
    hung = PairsColumn("Pairs hung")
    hung_for = PairsColumn("Hung for")
    run = tables.Column(default="–", orderable=False)
    off_at = DateColumn(verbose_name="Taken off", format=WHEN, attrs=DATE)
    hard_at = DateColumn(verbose_name="Hard", format=WHEN, default="now", attrs=DATE)
    act = tables.Column("", accessor="pk", orderable=False, exclude_from_export=True)

    class Meta:
        model = Frame
        fields = ("picture", "code", "candle", "hung", "hung_for", "run", "off_at", "hard_at", "act")
        empty_text = "No frame is off the carousels and ungraded."

    def render_hard_at(self, value, record):
        when = timezone.localtime(value)
        return (
            f"since {when:%H:%M}, {when.day} {when:%b}" if is_hard(record) else f"{when:%H:%M}, {when.day} {when:%b}"
        )

    def render_act(self, record):
        word = "Grade" if is_hard(record) else "Grade early"
        return format_html('<a class="act" href="{}">{}<span class="unseen"> {}</span></a>',
                           reverse("grade", args=[record.pk]), word, record)  # fmt: skip


class ReadingTable(tables.Table):
    caption = "Gauge readings"
    at = DateColumn(verbose_name="When", format=WHEN, attrs=DATE)
    dips = tables.Column("After dips", attrs=RIGHT)
    mm = tables.Column("Diameter", attrs=RIGHT)
    run = tables.Column(default="–")
    person = tables.Column("Who")

    class Meta:
        model = GaugeReading
        fields = ("at", "dips", "mm", "run", "person")
        orderable = False
        empty_text = "It was never held against the gauge."

    def render_mm(self, value):
        return f"{measure(value)} mm"


class UseOfFrameTable(tables.Table):
    caption = "What it drew from stock"
    material = tables.Column()
    amount = tables.Column(attrs=RIGHT)
    lot = tables.Column(empty_values=())
    run = tables.Column(default="")

    class Meta:
        model = FrameUse
        fields = ("material", "amount", "lot", "run")
        orderable = False
        empty_text = "Nothing yet: wick is drawn when it is threaded, wax and dye when it is counted off."

    def __init__(self, *args, linked: bool, **kwargs):
        """`linked`: the reader works in the stockroom, and may follow the way to the lot."""
        super().__init__(*args, **kwargs)
        self.linked = linked

    def render_amount(self, value, record):
        return amount_in_words(value, record.material.unit)

    def render_lot(self, record):
        if record.lot is None:
            return "no lot on the book"
        lot = record.lot
        return format_html('<a href="{}">{}</a>', lot.get_absolute_url(), lot) if self.linked else str(lot)


class RunOfFrameTable(tables.Table):
    caption = "Runs that dipped it"
    run = tables.Column()
    vat = tables.Column(accessor="run__vat")
    wax = tables.Column(accessor="run__wax")
    colour = tables.Column(accessor="run__colour")
    carousel = tables.Column(accessor="run__carousel")
    dips = tables.Column(attrs=RIGHT)
    started_at = DateColumn(accessor="run__started_at", verbose_name="Begun", format=WHEN, attrs=DATE)

    class Meta:
        model = RunFrame
        fields = ("run", "vat", "wax", "colour", "carousel", "dips", "started_at")
        orderable = False
        empty_text = "No run on the book dipped it."

    def __init__(self, *args, linked: bool, **kwargs):
        """`linked`: the reader works on the floor, and may follow the way to carousel and vat."""
        super().__init__(*args, **kwargs)
        self.linked = linked

    def render_run(self, value):
        return self._link(value)

    def render_vat(self, value):
        return self._link(value)

    def _link(self, thing):
        return format_html('<a href="{}">{}</a>', thing.get_absolute_url(), thing) if self.linked else str(thing)


class StepOfFrameTable(tables.Table):
    caption = "What was done with it"
    at = DateColumn(verbose_name="When", format=WHEN, attrs=DATE)
    kind = tables.Column("What")
    run = tables.Column()
    reason = tables.Column(default="", attrs=SOFT)
    person = tables.Column("Who")

    class Meta:
        model = Step
        fields = ("at", "kind", "run", "reason", "person")
        orderable = False
        empty_text = "Nothing yet but the threading."

    def render_kind(self, value, record):
        return f"{value}, undone" if record.undone else value


class HungForTable(tables.Table):
    """What a frame hangs for; of a graded one, what it hung for and what came of it."""

    caption = "What it hangs for"
    for_whom = tables.Column("For whom")
    wanted_by = DateColumn(verbose_name="Wanted by", format="j M Y", attrs=DATE)
    pairs = PairsColumn("Pairs")
    got = PairsColumn("Given to it")

    class Meta:
        orderable = False
        empty_text = "It hangs for the shelf."
