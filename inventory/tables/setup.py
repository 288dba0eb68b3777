from decimal import Decimal

import django_tables2 as tables

from inventory.models import Colour, Shelf, Wax
from inventory.pair_svg import draw_pair
from inventory.tables.columns import RIGHT

# From the usual figures of both densities a wax shrinks by 8 to 16 % as it sets (facts W11, worked out).
USUAL_SHRINKAGE = (Decimal("0.08"), Decimal("0.16"))


class ShelfTable(tables.Table):
    code = tables.Column(linkify=("shelf", {"pk": tables.A("pk")}))
    walk = tables.Column(verbose_name="Place in the walk", attrs=RIGHT)
    candles = tables.Column(attrs=RIGHT)
    lots = tables.Column(attrs=RIGHT)

    class Meta:
        model = Shelf
        fields = ("code", "walk", "note", "candles", "lots")
        empty_text = "No shelf yet."


class WaxTable(tables.Table):
    name = tables.Column(linkify=("wax", {"pk": tables.A("pk")}))
    density_solid = tables.Column(verbose_name="Solid (g/cm3)", attrs=RIGHT)
    density_liquid = tables.Column(verbose_name="Molten (g/cm3)", attrs=RIGHT)
    shrinks = tables.Column(empty_values=(), orderable=False, verbose_name="Shrinks on setting")
    candles = tables.Column(attrs=RIGHT)

    class Meta:
        model = Wax
        fields = ("name", "density_solid", "density_liquid", "shrinks", "candles")
        empty_text = "No wax yet."

    def render_shrinks(self, record):
        share = 1 - record.density_liquid / record.density_solid
        low, high = USUAL_SHRINKAGE
        doubt = "" if low <= share <= high else "; unusual, look at the data sheet"
        return f"{100 * share:.1f} %{doubt}"


class ColourTable(tables.Table):
    pair = tables.Column(empty_values=(), orderable=False, verbose_name="", attrs={"td": {"class": "pair"}})
    code = tables.Column(linkify=("colour", {"pk": tables.A("pk")}))
    hex = tables.Column(orderable=False, verbose_name="Shown as")
    candles = tables.Column(attrs=RIGHT)

    class Meta:
        model = Colour
        fields = ("pair", "code", "name", "hex", "candles")
        empty_text = "No colour yet."

    def render_pair(self, record):
        """A common dinner candle of this colour: the same shape in each row, so only the colour differs."""
        return draw_pair(length_mm=250, base_mm=22, tip_mm=16, colour=record.hex)
