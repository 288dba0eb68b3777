"""Tables of the vats: all of them, and the log of one."""

import django_tables2 as tables
from django.utils.html import format_html

from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn
from inventory.words import measure
from production.models import FloorCheck, Vat, VatReading
from production.queries.vats import at_clock, wanted_kg


class VatTable(tables.Table):
    caption = "Vats"
    name = tables.Column("Vat", linkify=True, attrs={"td": {"class": "nowrap"}})
    holds = tables.Column(empty_values=(), order_by=("wax__name", "colour__name"))
    set_c = tables.Column("Thermostat (C)", attrs=RIGHT)
    heat_c = tables.Column("Heat last read (C)", default="never", attrs=RIGHT)
    level_mm = tables.Column("Below the rim (mm)", attrs=RIGHT)
    wants = tables.Column("Fills it up (kg)", empty_values=(), orderable=False, attrs=RIGHT)
    on = tables.Column("Over it", empty_values=(), orderable=False)
    active = tables.BooleanColumn(yesno="in use,not in use", verbose_name="Stands")

    class Meta:
        model = Vat
        fields = ("name", "holds", "set_c", "heat_c", "level_mm", "wants", "on", "active")
        empty_text = "No vat yet."

    def render_holds(self, record):
        return f"{record.wax} in {record.colour.name.lower()}"

    def render_set_c(self, value):
        return measure(value)

    def render_heat_c(self, value, record):
        return format_html("{} <small>{}</small>", measure(value), at_clock(record.heat_at))

    def render_level_mm(self, value):
        return f"{value:.0f}"

    def render_wants(self, record):
        return f"{wants:.1f}" if (wants := wanted_kg(record)) else "full"

    def render_on(self, record):
        return ", ".join(f"{run.carousel} in run {run}" for run in record.on) or "nothing"


class LogTable(tables.Table):
    caption = "Log of this vat"
    at = DateColumn(verbose_name="When", format="j M Y, H:i", attrs=DATE)
    kind = tables.Column("What")
    celsius = tables.Column("Heat (C)", default="", attrs=RIGHT)
    level_mm = tables.Column("Below the rim (mm)", default="", attrs=RIGHT)
    kilograms = tables.Column("Put in (kg)", default="", attrs=RIGHT)
    note = tables.Column(default="", attrs=SOFT)
    person = tables.Column("By", accessor="person__full_name", attrs=SOFT)

    class Meta:
        model = VatReading
        fields = ("at", "kind", "celsius", "level_mm", "kilograms", "note", "person")
        empty_text = "Nothing was read off it yet."
        orderable = False

    def render_celsius(self, value):
        return measure(value)

    def render_level_mm(self, value):
        return measure(value)

    def render_kilograms(self, value):
        return measure(value)


class CheckTable(tables.Table):
    caption = "Check sheets gone through"
    at = DateColumn(verbose_name="When", format="j M Y, H:i", attrs=DATE)
    part = tables.Column("Part")
    not_in_order = tables.Column("Not in order", default="all in order", attrs={"td": {"class": "wrap"}})
    note = tables.Column("What was done", default="", attrs=SOFT)
    person = tables.Column("By", accessor="person__full_name", attrs=SOFT)

    class Meta:
        model = FloorCheck
        fields = ("at", "part", "not_in_order", "note", "person")
        empty_text = "No sheet was gone through yet."
        orderable = False

    def render_not_in_order(self, value):
        return value.replace("\n", " ")
