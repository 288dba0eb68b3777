"""Tables of a trace: who has it, what lies here, how it was made and of what."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from inventory.material_words import amount_in_words
from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn, PairsColumn, PictureColumn
from inventory.words import measure


class GoneTable(tables.Table):
    """Rows are Gone. `calls`: whom to ring up, by shop; empty for people who do not ring shops up."""

    caption = "Who has it"
    shop = tables.Column("Shop", attrs={"td": {"class": "wrap"}})
    note = tables.Column("Note", attrs={"td": {"class": "nowrap"}})
    left_on = DateColumn(verbose_name="Left on", format="j M Y", attrs=DATE)
    boxes = tables.Column("Boxes", orderable=False, attrs=SOFT)
    candle = tables.Column("Candle", attrs={"td": {"class": "nowrap"}})
    lot = tables.Column("Lot", attrs={"td": {"class": "nowrap"}})
    pairs = PairsColumn("Pairs")
    back = PairsColumn("Came back")

    class Meta:
        empty_text = "Nothing of it has left the house."
        order_by = ("shop", "left_on", "lot")

    def __init__(self, *args, calls=None, linked: bool = False, **kwargs):
        super().__init__(*args, **kwargs)
        self.calls = {call.shop_id: call for call in calls or ()}
        self.linked = linked

    def render_shop(self, record):
        call = self.calls.get(record.shop_id)
        if call is None:
            return record.shop
        link = reverse("shop", args=[record.shop_id])
        return format_html('<a href="{}">{}</a><br><small>{}</small>', link, record.shop, call.whom)

    def render_note(self, record):
        if not self.linked:
            return record.note
        return format_html('<a href="{}">{}</a>', reverse("delivery", args=[record.delivery_id]), record.note)

    def render_boxes(self, value):
        return ", ".join(number.rpartition("/")[2] for number in value)

    def render_lot(self, record):
        return format_html('<a href="{}">{}</a>', reverse("trace_of", args=["lot", record.lot_id]), record.lot)


class KeptTable(tables.Table):
    """Rows are Kept."""

    caption = "What lies here"
    lot = tables.Column(attrs={"td": {"class": "nowrap"}})
    candle = tables.Column()
    shelf = tables.Column()
    pairs = PairsColumn("Pairs")
    promised = tables.Column("Keep these back", default="all of it is free", orderable=False, attrs=SOFT)

    class Meta:
        empty_text = "No pair of it lies here."
        order_by = ("lot",)

    def render_lot(self, record):
        return format_html('<a href="{}">{}</a>', reverse("trace_of", args=["lot", record.lot_id]), record.lot)


class HangingTable(tables.Table):
    """Frames not counted off yet."""

    caption = "Frames on the floor"
    code = tables.Column("Frame", linkify=True)
    candle = tables.Column()
    hung = PairsColumn("Pairs hung")
    state = tables.Column("Where", accessor="get_state_display", order_by="state")

    def render_state(self, value, record):
        return f"{value}, {record.carousel} position {record.position}" if record.carousel else value


class MadeTable(tables.Table):
    """How frames came about: Frame rows of production.queries.trace.frames_shown."""

    caption = "How it was made"
    picture = PictureColumn(accessor="candle")
    code = tables.Column("Frame", linkify=True, attrs={"td": {"class": "nowrap"}})
    candle = tables.Column(accessor="candle__code", attrs={"td": {"class": "nowrap"}})
    runs = tables.Column("Run, vat, begun by", accessor="runs", orderable=False, attrs=SOFT)
    gauged = tables.Column("Gauged", attrs=RIGHT)
    off_at = DateColumn(verbose_name="Taken off", format="j M Y", default="–", attrs=DATE)
    hung = PairsColumn("Pairs hung")
    people = tables.Column("Threaded, counted off by", accessor="threaded_by", orderable=False, attrs=SOFT)
    lots = tables.Column("Its lots", accessor="pk", orderable=False, attrs={"td": {"class": "nowrap"}})

    class Meta:
        empty_text = "No frame on the book: these pairs were counted in."

    def render_runs(self, value):
        rows = [
            (reverse("trace_of", args=["run", row.run_id]), row.run.code, f" {row.run.vat}, {row.run.started_by}")
            for row in value.all()
        ]
        return format_html_join("; ", '<a href="{}">{}</a>{}', rows) or "dipped off the book"

    def render_gauged(self, value, record):
        return f"{value}×, to {measure(record.widest_mm)} mm" if value else "never"

    def render_people(self, value, record):
        grading = getattr(record, "grading", None)
        return f"{value}, {grading.person}" if grading else f"{value}, not counted off"

    def render_lots(self, record):
        grading = getattr(record, "grading", None)
        lots = [grading.lot] if grading and grading.lot else []
        lots += [row.lot for row in grading.faults.all()] if grading else []
        rows = [(reverse("trace_of", args=["lot", lot.pk]), lot.code) for lot in lots]
        return format_html_join(SafeString("<br>"), '<a href="{}">{}</a>', rows) or "–"


class MaterialsTable(tables.Table):
    """Rows are MadeOf."""

    caption = "What it is made of"
    material = tables.Column()
    lot = tables.Column("Our lot", default="nobody knows which", accessor="lot", order_by="lot__code")
    supplier = tables.Column("Supplier", accessor="lot__supplier", default="–", attrs=SOFT)
    supplier_lot = tables.Column("Their lot", accessor="lot__supplier_lot", default="–")
    came_on = DateColumn(verbose_name="Came on", accessor="lot__came_on", format="j M Y", default="–", attrs=DATE)
    amount = tables.Column("Drawn", default="may be in its remelt", attrs=RIGHT)

    class Meta:
        empty_text = "The book knows no material of it: none was drawn for these frames."

    def render_lot(self, value):
        return format_html('<a href="{}">{}</a>', reverse("trace_of", args=["material", value.pk]), value.code)

    def render_amount(self, value, record):
        return amount_in_words(value, record.unit)


class BriefTable(tables.Table):
    """Rows are Brief."""

    caption = "Shops whose candles may hold traces"
    shop = tables.Column("Shop", attrs={"td": {"class": "wrap"}})
    pairs = PairsColumn("Pairs")
    deliveries = PairsColumn("Deliveries")
    first = DateColumn(verbose_name="First left on", format="j M Y", attrs=DATE)
    last = DateColumn(verbose_name="Last left on", format="j M Y", attrs=DATE)

    class Meta:
        empty_text = "Nothing that may hold traces has left the house."
        order_by = ("-pairs",)

    def __init__(self, *args, whom: bool, **kwargs):
        super().__init__(*args, **kwargs)
        self.whom = whom

    def render_shop(self, record):
        return format_html("{}<br><small>{}</small>", record.shop, record.whom) if self.whom else record.shop
