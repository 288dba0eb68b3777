"""The columns that tables of all apps share: how figures, dates and pictures stand."""

import django_tables2 as tables
from django.utils.html import format_html

from inventory.models import Candle
from inventory.pair_svg import draw_pair_of
from inventory.words import short_day

RIGHT = {"th": {"class": "num"}, "td": {"class": "num"}}
SOFT = {"td": {"class": "soft"}}
DATE = {"td": {"class": "date"}}


class PairsColumn(tables.Column):
    """Whole pairs, thousands parted on the page and bare in a file; nought is a dash, which the eye passes over."""

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **{"attrs": RIGHT, **kwargs})

    def render(self, value):
        return f"{value:,}" if value else "–"

    def value(self, value, **kwargs):
        return value


class DayColumn(tables.Column):
    """A day, "3 Nov 2026"; in a file the day itself. A third of the price of a DateColumn, which fills a template."""

    def render(self, value):
        return short_day(value)

    def value(self, value, **kwargs):
        return value


class PictureColumn(tables.Column):
    """The pair, drawn. `second` gives whether a row's is a second."""

    def __init__(self, second=lambda row: False, accessor="pk", **kwargs):
        self.second = second
        attrs = {"td": {"class": "pair"}}
        options = {"orderable": False, "attrs": attrs, "exclude_from_export": True, "verbose_name": ""}
        super().__init__(accessor=accessor, **{**options, **kwargs})

    def render(self, value, record):
        candle = value if isinstance(value, Candle) else record
        return draw_pair_of(candle, second=self.second(record))

    @property
    def header(self):
        return format_html('<span class="unseen">{}</span>', "Picture")
