import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html

from inventory.pair_svg import draw_pair_of
from inventory.tables.columns import DateColumn

RIGHT = {"td": {"class": "num"}, "th": {"class": "num"}}


class OwnLineTable(tables.Table):
    """Rows are OwnLine; `second` draws them as seconds."""

    caption = "What you ordered"
    picture = tables.Column(
        format_html('<span class="unseen">{}</span>', "Picture"), accessor="candle", attrs={"td": {"class": "pair"}}
    )
    candle = tables.Column()
    pairs = tables.Column("Ordered, pairs", attrs=RIGHT)
    sent = tables.Column("Left us", attrs=RIGHT)
    packed = tables.Column("Packed", attrs=RIGHT)
    to_come = tables.Column("To come", attrs=RIGHT)

    class Meta:
        orderable = False
        empty_text = "Nothing is ordered."

    def __init__(self, *args, second: bool = False, **kwargs):
        super().__init__(*args, **kwargs)
        self.second = second

    def render_sent(self, value):
        return value or "–"

    render_packed = render_to_come = render_sent

    def render_picture(self, value):
        return draw_pair_of(value, second=self.second)

    def render_candle(self, value):
        seconds = " (seconds)" if self.second else ""
        return format_html("{}{}<br><small>{}</small>", value.name, seconds, value.code)


class OwnPaperTable(tables.Table):
    """Papers as the shop opens them: through its link. `token` is the link's."""

    caption = "Papers"
    kind = tables.Column("Paper", accessor="get_kind_display")
    number = tables.Column()
    issued_on = DateColumn(verbose_name="Of", format="j F Y")

    class Meta:
        orderable = False
        empty_text = "No paper has been issued for it yet."

    def __init__(self, *args, token: str, **kwargs):
        super().__init__(*args, **kwargs)
        self.token = token

    def render_kind(self, value):
        return value.capitalize()

    def render_number(self, record):
        return format_html('<a href="{}">{}</a>', reverse("own_paper", args=[self.token, record.pk]), record.number)
