"""Tables of an order's page, and of who holds a lot."""

import django_tables2 as tables
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html

from inventory.models import SECONDS
from inventory.pair_svg import draw_pair_of
from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn, PictureColumn
from orders.models import Delivery, DeliveryLine, SetAside
from orders.queries.order_page import LineStory
from orders.standing import short_day
from orders.tables.line_cells import LineCells


class LineTable(tables.Table):
    """Rows are LineStory."""

    caption = "Lines of this order"
    picture = PictureColumn(accessor="line__candle")
    candle = tables.Column(empty_values=())
    pairs = tables.Column(accessor="line__pairs", attrs=RIGHT)
    cover = tables.Column()
    lots = tables.Column("From lots and frames", empty_values=())
    price = tables.Column("Price a pair", accessor="line__price", attrs=RIGHT)
    acts = tables.Column(
        format_html('<span class="unseen">{}</span>', "What can be done"),
        empty_values=(),
        attrs={"td": {"class": "does"}},
    )

    class Meta:
        orderable = False
        empty_text = "No line."

    def __init__(self, rows: list[LineStory], cells: LineCells):
        self.cells, self.second = cells, cells.order.grade == SECONDS
        super().__init__(rows)
        if not cells.may_change:
            self.columns.hide("acts")

    def render_picture(self, record):
        candle = record.line.candle
        return draw_pair_of(candle, second=self.second)

    def render_candle(self, record):
        return self.cells.candle(record)

    def render_pairs(self, value):
        return f"{value:,}"

    def render_cover(self, record):
        return self.cells.cover(record)

    def render_lots(self, record):
        return self.cells.lots(record)

    def render_price(self, value, record):
        return format_html("{}<br><small>{}</small>", value, record.line.price_from)

    def render_acts(self, record):
        return self.cells.acts(record)


class DeliveryTable(tables.Table):
    caption = "Deliveries of this order and their papers"
    delivery = tables.Column(accessor="pk", linkify=("delivery", [tables.A("pk")]), verbose_name="Delivery")
    van_day = tables.Column("Van day", attrs=DATE)
    boxes = tables.Column(accessor="box_count", attrs=RIGHT)
    state = tables.Column("Stands")
    note = tables.Column("Delivery note", default="not yet", linkify=lambda value: value.get_absolute_url())
    invoice = tables.Column(
        accessor="standing_on__0__invoice", default="none yet", linkify=lambda value: value.get_absolute_url()
    )

    class Meta:
        model = Delivery
        fields = ("delivery", "van_day", "boxes", "state", "note", "invoice")
        orderable = False
        empty_text = "Nothing packed yet."

    def render_delivery(self, record):
        return f"{record.order.number}/{record.pk}" if record.note_id is None else str(record)

    def render_van_day(self, value):
        return short_day(value, timezone.localdate())

    def render_state(self, value, record):
        return f"left {short_day(record.left_on, timezone.localdate())}" if record.left_on else value


class StoryTable(tables.Table):
    caption = "Who did what when"
    at = DateColumn("j M Y H:i", verbose_name="When", attrs=DATE)
    person = tables.Column("Who", attrs={"td": {"class": "nowrap"}})
    what = tables.Column("What")

    class Meta:
        orderable = False
        empty_text = "Nothing on record yet."
        prefix = "story-"


class HolderTable(tables.Table):
    caption = "Orders this lot is set aside for"
    order = tables.Column(
        "Order", accessor="line__order__number", linkify=("order", [tables.A("line__order__number")])
    )
    shop = tables.Column(accessor="line__order__shop")
    ship_by = tables.Column("Ship by", accessor="line__order__ship_by", attrs=DATE)
    pairs = tables.Column(attrs=RIGHT)
    packed = tables.Column("Of these packed", attrs=RIGHT)
    at = DateColumn("j M Y H:i", verbose_name="Set aside", attrs=DATE)
    by = tables.Column("By")

    class Meta:
        model = SetAside
        fields = ("order", "shop", "ship_by", "pairs", "packed", "at", "by")
        orderable = False
        empty_text = "No order holds pairs of this lot."

    def render_ship_by(self, value):
        return short_day(value, timezone.localdate())


class LeftTable(tables.Table):
    caption = "Where pairs of this lot went"
    delivery = tables.Column(linkify=True)
    shop = tables.Column(accessor="delivery__order__shop")
    order = tables.Column(accessor="delivery__order__number", linkify=("order", [tables.A("delivery__order__number")]))
    pairs = tables.Column(attrs=RIGHT)
    stands = tables.Column("Stands", accessor="delivery__state")

    class Meta:
        model = DeliveryLine
        fields = ("delivery", "shop", "order", "pairs", "stands")
        orderable = False
        empty_text = "None has left yet."

    def render_stands(self, value, record):
        left_on = record.delivery.left_on
        return f"left {short_day(left_on, timezone.localdate())}" if left_on else value


class TakeOverTable(tables.Table):
    """Promises of other orders that a line could take over; `line` is set by the view."""

    caption = "Orders that hold pairs of this candle"
    order = tables.Column(
        "Order", accessor="line__order__number", linkify=("order", [tables.A("line__order__number")])
    )
    shop = tables.Column(accessor="line__order__shop")
    ship_by = tables.Column("Ship by", accessor="line__order__ship_by", attrs=DATE)
    lot = tables.Column()
    pairs = tables.Column("Not yet packed", attrs=RIGHT)
    terms = tables.Column("Takes", accessor="line__order__complete_only", attrs=SOFT)
    take = tables.Column(accessor="pk", verbose_name=format_html('<span class="unseen">{}</span>', "Take over"))

    class Meta:
        model = SetAside
        fields = ("order", "shop", "ship_by", "lot", "pairs", "terms", "take")
        orderable = False
        empty_text = "No other order holds pairs of this candle that could be taken over."

    def __init__(self, rows, *, line, **kwargs):
        self.line = line
        super().__init__(rows, **kwargs)

    def render_ship_by(self, value):
        return short_day(value, timezone.localdate())

    def render_pairs(self, record):
        return f"{record.pairs - record.packed:,}"

    def render_terms(self, value):
        return "complete deliveries only" if value else "part deliveries too"

    def render_take(self, record):
        url = reverse("take_over_from", args=[self.line.pk, record.pk])
        of = f" of {record.lot.code} from order {record.line.order.number}"
        return format_html('<a href="{}">Take over<span class="unseen">{}</span></a>', url, of)
