"""The columns that tables of all apps share: how figures, dates and pictures stand."""

from datetime import datetime

import django_tables2 as tables
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.timezone import localtime

from inventory.models import Candle
from inventory.pair_svg import draw_pair_of

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


class DateColumn(tables.Column):
    """A day, or a moment by the workshop's clock, in Django's letters; in a file as ISO 8601 has it.

    django-tables2's own fills a template for every cell.
    """

    empty_values = ()

    def __init__(self, format: str, **kwargs):
        super().__init__(**kwargs)
        self.format = format

    def render(self, value, bound_column):
        if not value:
            return bound_column.default
        return date_format(localtime(value) if isinstance(value, datetime) else value, self.format)

    def value(self, value, bound_column):
        if not value:
            return bound_column.default
        return value.isoformat(sep=" ") if isinstance(value, datetime) else value.isoformat()


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
