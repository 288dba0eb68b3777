import django_tables2 as tables

from inventory.tables.columns import RIGHT, DateColumn
from orders.models import BoxKind, ExchangeRate, Series, VanDay, VatRate


class PartTable(tables.Table):
    """The index: each part of the set-up, what stands in it, and what is still missing of it."""

    part = tables.Column(linkify=lambda record: record["url"])
    stands = tables.Column(verbose_name="What stands there")
    missing = tables.Column(verbose_name="Still missing", default="")

    class Meta:
        orderable = False
        attrs = {"class": "parts"}


class BoxKindTable(tables.Table):
    name = tables.Column(linkify=("box_kind", {"pk": tables.A("pk")}))
    inside = tables.Column(
        empty_values=(), order_by=("length_mm", "width_mm"), verbose_name="Inside (mm)", attrs=RIGHT
    )
    tare_g = tables.Column(verbose_name="Empty (g)", attrs=RIGHT)
    limit_g = tables.Column(verbose_name="Limit with box (g)", attrs=RIGHT)
    stands = tables.Column(empty_values=(), orderable=False, verbose_name="Stands")
    boxes = tables.Column(verbose_name="Boxes packed", attrs=RIGHT)

    class Meta:
        model = BoxKind
        fields = ("name", "inside", "tare_g", "limit_g", "stands", "boxes")
        empty_text = "No box yet."

    def render_inside(self, record):
        return f"{record.length_mm} × {record.width_mm} × {record.height_mm}"

    def render_stands(self, record):
        if not record.active:
            return "not in use"
        return "the standard box" if record.standard else "in use"


class VanDayTable(tables.Table):
    weekday = tables.Column(linkify=("van_day", {"pk": tables.A("pk")}))

    class Meta:
        model = VanDay
        fields = ("weekday", "note")
        empty_text = "The van never goes out yet."


class VatRateTable(tables.Table):
    vat_class = tables.Column(linkify=("vat_rate", {"pk": tables.A("pk")}), verbose_name="VAT class")
    percent = tables.Column(attrs=RIGHT)
    since = DateColumn(format="j M Y")

    class Meta:
        model = VatRate
        fields = ("vat_class", "category", "percent", "since", "reason")
        empty_text = "No rate yet."


class ExchangeRateTable(tables.Table):
    currency = tables.Column(linkify=("exchange_rate", {"pk": tables.A("pk")}))
    sterling = tables.Column(attrs=RIGHT)
    since = DateColumn(format="j M Y")

    class Meta:
        model = ExchangeRate
        fields = ("currency", "sterling", "since")
        empty_text = "No rate yet."

    def render_sterling(self, value):
        return f"{value.normalize():f}"


class SeriesTable(tables.Table):
    name = tables.Column(linkify=("next_number", {"pk": tables.A("pk")}), verbose_name="Of")
    last = tables.Column(empty_values=(), orderable=False, verbose_name="Last given", attrs=RIGHT)
    next = tables.Column(verbose_name="Next", attrs=RIGHT)

    class Meta:
        model = Series
        fields = ("name", "last", "next")

    def __init__(self, *args, last: dict[int, int | None], **kwargs):
        super().__init__(*args, **kwargs)
        self.last = last

    def render_last(self, record):
        given = self.last[record.pk]
        return "none yet" if given is None else f"{record.prefix}{given}"

    def render_next(self, record):
        return f"{record.prefix}{record.next}"
