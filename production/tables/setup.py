"""Tables of the floor's set-up. Kinds of frame say how many pairs they carry; limits say what they leave."""

from decimal import Decimal

import django_tables2 as tables

from inventory.material_words import GRAM, amount_in_words
from inventory.models import Candle
from inventory.tables.columns import RIGHT, SOFT, DateColumn, PictureColumn
from inventory.words import measure
from production.heat import MOST_CUT_OUT_C
from production.lifting import caution_lifting, frame_kg
from production.models import Carousel, ChangeOver, DayOff, FrameKind, WaxHeat, WorkingDay
from production.pitch import pairs_on_frame

DINNER = Decimal(22)  # mm, the commonest candle (Z4)


class CarouselTable(tables.Table):
    name = tables.Column(linkify=("carousel_setup", {"pk": tables.A("pk")}))
    positions = tables.Column(attrs=RIGHT)
    hanging = tables.Column(verbose_name="Frames that hang", attrs=RIGHT)
    active = tables.BooleanColumn(yesno="in use,not in use", verbose_name="Stands")

    class Meta:
        model = Carousel
        fields = ("name", "positions", "hanging", "active")
        empty_text = "No carousel yet."


class FrameKindTable(tables.Table):
    name = tables.Column(linkify=("frame_kind", {"pk": tables.A("pk")}))
    bars = tables.Column(attrs=RIGHT)
    usable_mm = tables.Column(verbose_name="Bar (mm)", attrs=RIGHT)
    pitch = tables.Column(verbose_name="Pitch (diameters)", attrs=RIGHT)
    iron_g = tables.Column(verbose_name="Empty (g)", attrs=RIGHT)
    dinner = tables.Column(empty_values=(), orderable=False, verbose_name="Pairs at 22 mm", attrs=RIGHT)
    candles = tables.Column(
        empty_values=(),
        orderable=False,
        verbose_name="Pairs of each candle",
        linkify=("frame_kind_pairs", {"pk": tables.A("pk")}),
    )
    active = tables.BooleanColumn(yesno="in use,not in use", verbose_name="Stands")

    class Meta:
        model = FrameKind
        fields = ("name", "bars", "usable_mm", "pitch", "iron_g", "dinner", "candles", "active")
        empty_text = "No kind of frame yet."

    def render_pitch(self, value):
        return measure(value)

    def render_dinner(self, record):
        return pairs_on_frame(record.bars, record.usable_mm, DINNER, record.pitch).pairs

    def render_candles(self, record):
        return f"candles on {record}"


class LoadingTable(tables.Table):
    """Each candle on one kind of frame: pairs, how far apart, what the finished frame weighs."""

    caption = "Candles on this kind of frame"
    picture = PictureColumn()
    code = tables.Column(attrs={"td": {"class": "nowrap"}})
    name = tables.Column("Candle", linkify=True)
    base_mm = tables.Column("Base (mm)", attrs=RIGHT)
    apart = tables.Column("Wick to wick (mm)", empty_values=(), orderable=False, attrs=RIGHT)
    pairs = tables.Column(empty_values=(), orderable=False, attrs=RIGHT)
    weight = tables.Column("Finished (kg)", empty_values=(), orderable=False, attrs=RIGHT)
    lifting = tables.Column("Lifting", empty_values=(), orderable=False, attrs=SOFT)

    class Meta:
        model = Candle
        fields = ("picture", "code", "name", "base_mm", "apart", "pairs", "weight", "lifting")
        empty_text = "No candle in the catalogue."

    def __init__(self, *args, kind: FrameKind, **kwargs):
        super().__init__(*args, **kwargs)
        self.kind = kind

    def loading(self, candle):
        return pairs_on_frame(self.kind.bars, self.kind.usable_mm, candle.base_mm, self.kind.pitch)

    def kilograms(self, candle) -> float:
        return frame_kg(self.kind.iron_g, self.loading(candle).pairs, candle.grams_a_pair)

    def render_base_mm(self, value):
        return measure(value)

    def render_apart(self, record):
        return measure(self.loading(record).pitch_mm)

    def render_pairs(self, record):
        return self.loading(record).pairs or "too thick"

    def render_weight(self, record):
        return f"{self.kilograms(record):.1f}"

    def render_lifting(self, record):
        return caution_lifting(self.kilograms(record))


class WorkingDayTable(tables.Table):
    weekday = tables.Column(linkify=("working_day", {"pk": tables.A("pk")}))
    starts = tables.TimeColumn(format="H:i", attrs=RIGHT)
    ends = tables.TimeColumn(format="H:i", attrs=RIGHT)

    class Meta:
        model = WorkingDay
        fields = ("weekday", "starts", "ends")
        empty_text = "The floor works on no day yet."


class DayOffTable(tables.Table):
    day = DateColumn(format="l j F Y", linkify=("day_off", {"pk": tables.A("pk")}))

    class Meta:
        model = DayOff
        fields = ("day", "note")
        empty_text = "No day off."


class ChangeOverTable(tables.Table):
    before = tables.Column(
        "From", accessor="from_colour", order_by=("from_wax__name", "from_colour__name"),
        linkify=("change_over_time", {"pk": tables.A("pk")}),
    )  # fmt: skip
    after = tables.Column("To", accessor="to_colour", order_by=("to_wax__name", "to_colour__name"))
    minutes = tables.Column(attrs=RIGHT)

    class Meta:
        model = ChangeOver
        fields = ("before", "after", "minutes")
        empty_text = "No change-over has a time of its own."

    def render_before(self, record):
        return f"{record.from_wax}, {record.from_colour.name.lower()}"

    def render_after(self, record):
        return f"{record.to_wax}, {record.to_colour.name.lower()}"


class WaxHeatTable(tables.Table):
    wax = tables.Column(linkify=("wax_heat", {"pk": tables.A("pk")}), accessor="wax", order_by="wax__name")
    congeals_c = tables.Column(verbose_name="Congeals (C)", attrs=RIGHT)
    flash_c = tables.Column(verbose_name="Lowest flash point (C)", attrs=RIGHT)
    discolours_c = tables.Column(verbose_name="Discolours above (C)", default="–", attrs=RIGHT)
    in_hand = tables.Column(empty_values=(), orderable=False, verbose_name="In hand for new frames")
    margin = tables.Column(
        empty_values=(),
        orderable=False,
        verbose_name=f"Over a cut-out at {MOST_CUT_OUT_C} C (K)",
        attrs=RIGHT,
    )

    class Meta:
        model = WaxHeat
        fields = ("wax", "congeals_c", "flash_c", "discolours_c", "margin", "in_hand")
        empty_text = "Nothing written down yet: no vat may hold a wax before."

    def render_congeals_c(self, value):
        return measure(value)

    def render_flash_c(self, value):
        return measure(value)

    def render_discolours_c(self, value):
        return measure(value)

    def render_in_hand(self, value):
        if not value.by_lots:
            return value.in_words()
        return f"{amount_in_words(value.grams, GRAM)}, by the lots"

    def render_margin(self, record):
        return measure(record.flash_c - MOST_CUT_OUT_C)
