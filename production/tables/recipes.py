"""Recipes: one row a candle, and the stages of one."""

import django_tables2 as tables
from django.urls import reverse
from django.utils.html import format_html_join

from inventory.models import Candle
from inventory.tables.columns import RIGHT, SOFT, PictureColumn
from inventory.words import counted, measure
from production.domain.recipes import tell_stage
from production.models import Stage
from production.stages import Dipped, Heat, doubts_of


class RecipeTable(tables.Table):
    caption = "Candles and their recipes"
    picture = PictureColumn()
    code = tables.Column(attrs={"td": {"class": "nowrap"}})
    name = tables.Column("Candle", linkify=lambda record: reverse("recipe", args=[record.pk]))
    stages = tables.Column(empty_values=(), orderable=False, attrs=SOFT)
    gauge = tables.Column("Gauge (mm)", empty_values=(), order_by="recipe__gauge_low_mm", attrs=RIGHT)
    hardens = tables.Column("Hardens (h)", accessor="recipe__harden_hours", default="–", attrs=RIGHT)
    firsts = tables.Column("Firsts expected", empty_values=(), orderable=False, attrs=RIGHT)

    class Meta:
        model = Candle
        fields = ("picture", "code", "name", "stages", "gauge", "hardens", "firsts")
        empty_text = "No candle in the catalogue yet."

    def recipe(self, candle):
        return getattr(candle, "recipe", None)

    def render_stages(self, record):
        recipe = self.recipe(record)
        if recipe is None:
            return "no recipe yet: nothing can be threaded for it"
        return format_html_join("", "<div>{}</div>", ((tell_stage(stage),) for stage in recipe.stages.all()))

    def render_gauge(self, record):
        recipe = self.recipe(record)
        return f"{measure(recipe.gauge_low_mm)} to {measure(recipe.gauge_high_mm)}" if recipe else "–"

    def render_firsts(self, record):
        recipe = self.recipe(record)
        return f"{recipe.firsts_good} of {recipe.firsts_of}" if recipe else "–"


class StageTable(tables.Table):
    caption = "Stages of this recipe"
    place = tables.Column("Stage", attrs=RIGHT)
    wax = tables.Column()
    colour = tables.Column()
    celsius = tables.Column("Vat at (C)", attrs=RIGHT)
    growth_mm = tables.Column("Growth a dip (mm)", attrs=RIGHT)
    seconds_in = tables.Column("Seconds in", attrs=RIGHT)
    turn_minutes = tables.Column("Minutes a turn", attrs=RIGHT)
    until = tables.Column(empty_values=())
    watch = tables.Column(empty_values=(), attrs=SOFT)

    class Meta:
        model = Stage
        fields = ("place", "wax", "colour", "celsius", "growth_mm", "seconds_in", "turn_minutes", "until", "watch")
        orderable = False

    def render_celsius(self, value):
        return measure(value)

    def render_growth_mm(self, value):
        return measure(value)

    def render_turn_minutes(self, value):
        return measure(value)

    def render_until(self, record):
        if record.finish_dips:
            return counted(record.finish_dips, "dip")
        return f"{measure(record.until_mm)} mm" if record.until_mm else "the gauge"

    def render_watch(self, record):
        return " ".join(doubts_of_stage(record))


def doubts_of_stage(stage: Stage) -> list[str]:
    """What is unusual about a stage, whose wax was fetched with its limits."""
    heat = getattr(stage.wax, "heat", None)
    known = Heat(heat.congeals_c, heat.discolours_c) if heat else Heat()
    finish = bool(stage.finish_dips)
    return doubts_of(Dipped(stage.celsius, stage.growth_mm, stage.seconds_in, finish, known, str(stage.wax)))
