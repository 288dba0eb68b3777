import django_tables2 as tables
from django.utils import timezone

from inventory.tables.columns import DATE, RIGHT, SOFT, PairsColumn, PictureColumn
from orders.ready_words import later_words
from orders.standing import short_day


class ReadyTable(tables.Table):
    """Rows are LineReady."""

    caption = "When each line can be ready"
    picture = PictureColumn(accessor="line__candle")
    candle = tables.Column(accessor="line__candle", linkify=True)
    pairs = PairsColumn(accessor="line__pairs")
    stock = PairsColumn("From stock")
    floor = PairsColumn("On the floor")
    asked = PairsColumn("Still to come", attrs=RIGHT)
    ready = tables.Column("Ready", attrs={"td": {"class": "reason"}})
    why = tables.Column("Why not earlier", accessor="ready__why", attrs=SOFT, default="")

    class Meta:
        orderable = False
        empty_text = "No line."

    def render_ready(self, value):
        return value.when(timezone.localdate())


class AtRiskTable(tables.Table):
    """Rows are AtRisk. What would save each is simulated, so the page asks for it once it stands (htmx)."""

    caption = "Promises at risk"
    order = tables.Column(accessor="order__number", linkify=("order", [tables.A("order__number")]))
    shop = tables.Column(accessor="order__shop")
    promised = tables.Column(accessor="promise__day", attrs=DATE)
    ready = tables.Column("Can be there", attrs=DATE, empty_values=())
    why = tables.Column(attrs={"td": {"class": "reason"}})
    saves = tables.TemplateColumn(
        template_name="orders/cells/saves.html",
        verbose_name="Cheapest change that saves it",
        attrs={"td": {"class": "reason"}},
    )

    class Meta:
        orderable = False

    def render_promised(self, value):
        return short_day(value, timezone.localdate())

    def render_ready(self, value):
        return short_day(value, timezone.localdate()) if value else "nobody knows"


class WayTable(tables.Table):
    """Rows are Way."""

    caption = "Changes tried, each simulated, the cheapest first"
    words = tables.Column("Change")
    done = tables.Column("All there", attrs=DATE, empty_values=())
    saves = tables.Column("Saves it")
    later = tables.Column("Who would be later", empty_values=(), attrs={"td": {"class": "reason"}})
    harm = tables.Column("Weighted late pair-days more", attrs=RIGHT)
    minutes = tables.Column("Minutes of work", attrs=RIGHT)

    class Meta:
        orderable = False
        empty_text = "Nothing was tried."

    def render_words(self, value):
        return value[:1].upper() + value[1:]

    def render_done(self, value):
        return short_day(value, timezone.localdate()) if value else "not within the plan"

    def render_saves(self, value):
        return "yes" if value else "no"

    def render_later(self, value):
        return later_words(value)

    def render_harm(self, value):
        return f"{value:,}"

    def render_minutes(self, value):
        return f"{value:,}"
