import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from inventory.tables.columns import DATE, RIGHT, DateColumn, PictureColumn
from orders.models import AgreedPrice, PriceList, SecondsAge, SecondsPrice, ShopGroup
from orders.money import in_pounds
from orders.price_words import how_it_stands
from orders.queries.prices import known, stands_on


class PriceListTable(tables.Table):
    """Rows are lists of `lists_for_page`."""

    caption = "Price lists"
    name = tables.Column("List", linkify=True)
    since = DateColumn(verbose_name="From", format="j M Y", attrs=DATE)
    group = tables.Column("For", default="everybody")
    currency = tables.Column("In")
    candles = tables.Column(attrs=RIGHT)
    stands = tables.Column("Stands", empty_values=(), orderable=False)
    paper = tables.Column("To print", accessor="pk", orderable=False, attrs=DATE)

    class Meta:
        model = PriceList
        fields = ("name", "since", "group", "currency", "candles", "stands", "paper")
        empty_text = "No price list yet: every candle costs its trade price."

    def __init__(self, rows, *, today, **kwargs):
        super().__init__(rows, **kwargs)
        self.today, self.known = today, [known(row) for row in rows]

    def render_currency(self, record):
        return record.currency

    def render_stands(self, record):
        return how_it_stands(known(record), self.known, self.today)

    def render_paper(self, record):
        url = reverse("trade_list", args=[record.pk])
        return format_html('<a href="{}">Trade list<span class="unseen"> {}</span></a>', url, record.name)


class CandlePriceTable(tables.Table):
    """A list as a form. A row is (PricedCandle, bound field)."""

    caption = "A price for each candle"
    picture = PictureColumn(accessor="0__candle")
    candle = tables.Column(accessor="0__candle")
    box = tables.Column("Pairs to a box", accessor="0__candle__pairs_per_box", attrs=RIGHT)
    trade_price = tables.Column("Trade price", accessor="0__candle__trade_price", attrs=RIGHT)
    before = tables.Column("List before", accessor="0__before", default="–", attrs=RIGHT)
    price = tables.Column("Price a pair", accessor="1", attrs=RIGHT)

    class Meta:
        orderable = False
        empty_text = "No candle in the catalogue yet."

    def render_candle(self, value):
        gone = "" if value.active else ", no longer in the catalogue"
        return format_html("{}<br><small>{}{}</small>", value.name, value.code, gone)

    def render_price(self, value):
        label = format_html('<label class="unseen" for="{}">{}</label>', value.id_for_label, value.label)
        return format_html("{}{}{}", label, value, value.errors)


class BreakTable(tables.Table):
    """The box breaks as a form. A row is (number, candle, boxes, percent), the last three bound fields."""

    caption = "Box breaks"
    boxes = tables.Column("From boxes", accessor="2")
    percent = tables.Column("Percent off", accessor="3")
    candle = tables.Column("Of", accessor="1")

    class Meta:
        orderable = False

    def _field(self, value):
        label = format_html('<label class="unseen" for="{}">{}</label>', value.id_for_label, value.label)
        return format_html("{}{}{}", label, value, value.errors)

    render_boxes = render_percent = render_candle = _field


class AgreedTable(tables.Table):
    caption = "Prices agreed with this shop"
    picture = PictureColumn(accessor="candle")
    candle = tables.Column(accessor="candle")
    price = tables.Column("A pair", attrs=RIGHT)
    since = DateColumn(verbose_name="From", format="j M Y", attrs=DATE)
    until = DateColumn(verbose_name="Up to", format="j M Y", attrs=DATE, default="–")
    stands = tables.Column("Stands", empty_values=())
    act = tables.Column("", accessor="pk")

    class Meta:
        model = AgreedPrice
        fields = ("picture", "candle", "price", "since", "until", "stands", "act")
        orderable = False
        empty_text = "Nothing is agreed: the lists apply."

    def __init__(self, rows, *, shop, today, **kwargs):
        super().__init__(rows, **kwargs)
        self.shop, self.today = shop, today

    def render_candle(self, value):
        return format_html("{}<br><small>{}</small>", value.name, value.code)

    def render_stands(self, record):
        if record.currency != self.shop.currency:
            return f"in {record.currency}: not used while they buy in {self.shop.currency}"
        net = "less their discount" if record.takes_discount else "net, no discount comes off"
        if stands_on(record, self.shop, self.today):
            return f"in force, {net}"
        return "ended" if record.until and record.until < self.today else f"begins later, {net}"

    def render_act(self, record):
        url = reverse("agreed_edit", args=[record.shop_id, record.pk])
        return format_html('<a href="{}">Change<span class="unseen"> {}</span></a>', url, record.candle.code)


class ShopGroupTable(tables.Table):
    name = tables.Column("Group", linkify=("shop_group", {"pk": tables.A("pk")}))
    shops_in = tables.Column("Shops", attrs=RIGHT)
    newest = DateColumn(verbose_name="Newest list from", format="j M Y", default="no list of its own")

    class Meta:
        model = ShopGroup
        fields = ("name", "note", "shops_in", "newest")
        empty_text = "No group yet: every shop buys from the same list."


class SecondsPriceTable(tables.Table):
    since = DateColumn(
        verbose_name="From", format="j M Y", linkify=("seconds_price", {"pk": tables.A("pk")}), attrs=DATE
    )
    value = tables.Column("Costs", attrs=RIGHT)
    basis = tables.Column("Reckoned as")

    class Meta:
        model = SecondsPrice
        fields = ("since", "value", "basis", "currency")
        empty_text = "None yet: seconds cost the share of the firsts' price that stands with the workshop."

    def render_currency(self, record):
        return record.currency

    def render_value(self, record):
        return f"{record.value.normalize():f}" if record.basis == "share" else in_pounds(record.value)


class SecondsAgeTable(tables.Table):
    days = tables.Column("From days", linkify=("seconds_age", {"pk": tables.A("pk")}), attrs=RIGHT)
    percent = tables.Column("Percent off", attrs=RIGHT)

    class Meta:
        model = SecondsAge
        fields = ("days", "percent")
        empty_text = "None yet: seconds cost the same however old they are."

    def render_percent(self, value):
        return f"{value.normalize():f}"
