"""Tables of the packing bench."""

import django_tables2 as tables
from django.utils import timezone
from django.utils.html import format_html, format_html_join
from django.utils.safestring import SafeString

from inventory.models import SECONDS
from inventory.pair_svg import draw_pair_of
from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn, PairsColumn, PictureColumn
from orders.bench import weekday_and_day
from orders.boxes import lifting_caution
from orders.standing import short_day

ACTS = format_html('<span class="unseen">{}</span>', "What can be done")
BREAK = SafeString("<br>")
NOWRAP = {"td": {"class": "nowrap"}}


def shop_cell(shop):
    return format_html("{}, <small>{}</small>", shop.name, shop.town)


class ReadyTable(tables.Table):
    """Rows are orders.queries.packing.Ready."""

    caption = "Orders with pairs to be packed, by van day and shop"
    van_day = tables.Column("Van", attrs=DATE)
    shop = tables.Column(accessor="order__shop", order_by="order__shop__name")
    order = tables.Column(linkify=True, accessor="order", order_by="order__number")
    ship_by = tables.Column("Ship by", accessor="order__ship_by", order_by="order__ship_by", attrs=DATE)
    pairs = PairsColumn("Pairs ready")
    why = tables.Column("Stands", empty_values=(), orderable=False, attrs=SOFT)
    act = tables.TemplateColumn(template_name="orders/cells/pack.html", verbose_name=ACTS, orderable=False)

    class Meta:
        empty_text = "Nothing set aside waits to be packed."
        sequence = ("van_day", "shop", "order", "ship_by", "pairs", "why", "act")

    def render_van_day(self, value):
        return short_day(value, timezone.localdate())

    def render_ship_by(self, value):
        return short_day(value, timezone.localdate())

    def render_shop(self, value):
        return shop_cell(value)

    def render_order(self, value):
        return str(value.number)

    def render_why(self, record):
        return record.why or record.hint or "all of it"


class OnBenchTable(tables.Table):
    caption = "Deliveries being packed"
    order = tables.Column(accessor="order__number", linkify=("delivery", [tables.A("pk")]))
    shop = tables.Column(accessor="order__shop")
    van_day = tables.Column("Van", attrs=DATE)
    boxes = PairsColumn(accessor="box_count")
    pairs = PairsColumn(accessor="pair_count")
    started_by = tables.Column("Packer")
    started_at = DateColumn(verbose_name="Since", format="j M H:i", attrs=DATE)

    class Meta:
        orderable = False
        empty_text = "Nobody is packing."

    def render_shop(self, value):
        return shop_cell(value)

    def render_van_day(self, value):
        return short_day(value, timezone.localdate())


class WaitingTable(tables.Table):
    caption = "Packed, waiting for the van"
    note = tables.Column(accessor="note__number", linkify=("delivery", [tables.A("pk")]))
    shop = tables.Column(accessor="order__shop")
    order = tables.Column(accessor="order__number", linkify=("order", [tables.A("order__number")]))
    van_day = tables.Column("Van", attrs=DATE)
    boxes = PairsColumn(accessor="box_count")
    pairs = PairsColumn(accessor="pair_count")
    weight = tables.Column("With the boxes, kg", accessor="note__content__gross_kg", attrs=RIGHT)
    stop = tables.Column("Stands", accessor="order__shop", attrs=SOFT)

    class Meta:
        orderable = False
        empty_text = "No packed delivery waits."

    def render_shop(self, value):
        return shop_cell(value)

    def render_van_day(self, value):
        return short_day(value, timezone.localdate())

    def render_stop(self, value):
        return f"on stop: {value.stop_reason}" if value.on_stop else "packed"


class BoxTable(tables.Table):
    """Rows are dicts: box, pairs, net_kg, gross_kg, gross_g."""

    caption = "Boxes of this delivery"
    number = tables.Column("Box", accessor="box__number")
    kind = tables.Column(accessor="box__kind")
    pairs = PairsColumn()
    net_kg = tables.Column("Net, kg", attrs=RIGHT)
    gross_kg = tables.Column("With the box, kg", attrs=RIGHT)
    slip = tables.Column("Packing slip", accessor="box__slip", default="when closed", linkify=True)
    caution = tables.Column("Lifting", empty_values=(), attrs=SOFT)

    class Meta:
        orderable = False

    def __init__(self, rows):
        super().__init__(rows)
        if not any(lifting_caution(row["gross_g"]) for row in rows):
            self.columns.hide("caution")

    def render_kind(self, value, record):
        sealed = record["box"].seconds_box
        return f"{value}, {sealed}" if sealed else str(value)

    def render_caution(self, record):
        return "two people" if lifting_caution(record["gross_g"]) else ""


class ContentTable(tables.Table):
    """Rows are box contents; `boxes` gives each one's box."""

    caption = "What lies in which box"
    box = tables.Column(accessor="box__number", attrs=NOWRAP)
    picture = PictureColumn(accessor="delivery_line__line__candle")
    candle = tables.Column(accessor="delivery_line__line__candle")
    lot = tables.Column(accessor="delivery_line__lot", linkify=True, attrs=NOWRAP)
    pairs = PairsColumn()
    act = tables.TemplateColumn(template_name="orders/cells/move.html", verbose_name=ACTS)

    class Meta:
        orderable = False

    def __init__(self, rows, *, second: bool, acts: bool):
        self.second = second
        super().__init__(rows)
        if not acts:
            self.columns.hide("act")

    def render_picture(self, value):
        return draw_pair_of(value, second=self.second)

    def render_candle(self, value):
        return f"{value.code} {value.name}" + (" (seconds)" if self.second else "")


class PickTable(tables.Table):
    """Rows are orders.queries.packing.Pick, in the order of the walk."""

    caption = "Pick list, in the order of the walk"
    shelf = tables.Column(default="no shelf", attrs=NOWRAP)
    picture = PictureColumn(accessor="lot__candle")
    candle = tables.Column(accessor="lot__candle")
    lot = tables.Column(linkify=True, attrs=NOWRAP)
    pairs = PairsColumn()
    orders = tables.Column("For")

    class Meta:
        orderable = False
        empty_text = "Nothing has to be fetched."

    def render_picture(self, record):
        return draw_pair_of(record.lot.candle, second=record.lot.grade == SECONDS)

    def render_candle(self, value, record):
        return f"{value.code} {value.name}" + (" (seconds)" if record.lot.grade == SECONDS else "")

    def render_lot(self, value, record):
        return f"{value}, in box {record.box}" if record.box else str(value)

    def render_orders(self, value):
        rows = ((order.get_absolute_url(), order.number, pairs, order.shop.name) for order, pairs in value)
        return format_html_join(BREAK, '<a href="{}">{}</a>: {} <small>{}</small>', rows)


class PaperTable(tables.Table):
    caption = "Papers, void ones among them"
    number = tables.Column(linkify=True, attrs=NOWRAP)
    kind = tables.Column()
    issued_on = DateColumn(format="j M Y", attrs=DATE)
    issued_by = tables.Column("By")
    stands = tables.Column(accessor="pk", empty_values=(), attrs=SOFT)

    class Meta:
        orderable = False
        empty_text = "No paper was issued yet."

    def render_stands(self, record):
        void = getattr(record, "cancellation", None)
        return f"CANCELLED {short_day(timezone.localtime(void.at).date())}: {void.reason}" if void else "valid"


def van_label(when) -> str:
    return weekday_and_day(when, timezone.localdate())
