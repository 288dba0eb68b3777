import django_tables2 as tables
from django.utils.html import format_html

from inventory.tables.columns import DATE, RIGHT, SOFT, DateColumn, PictureColumn
from production.burn_findings import findings, rates
from production.queries.burning import as_samples

ACTS = format_html('<span class="unseen">{}</span>', "What can be done")


class BurnTestTable(tables.Table):
    """Rows are tests with samples and cycles."""

    caption = "Test burns, the newest first"
    picture = PictureColumn(accessor="candle")
    candle = tables.Column(linkify=("burn_test", [tables.A("pk")]))
    begun_on = DateColumn(verbose_name="Begun", format="j M Y", attrs=DATE)
    wick = tables.Column(attrs=SOFT)
    rate = tables.Column("g an hour", empty_values=(), orderable=False, attrs=RIGHT)
    cycles = tables.Column(empty_values=(), orderable=False, attrs=RIGHT)
    stands = tables.Column("Outside the limits", empty_values=(), orderable=False, attrs=SOFT)
    person = tables.Column("Who")

    class Meta:
        empty_text = "No test burn yet."
        order_by = "-begun_on"

    def render_candle(self, value):
        return f"{value.code} {value.name}"

    def render_rate(self, record):
        found = rates(as_samples(record))
        return f"{sum(found) / len(found):.2f}" if found else "not burnt yet"

    def render_cycles(self, record):
        return str(sum(len(sample.cycles) for sample in as_samples(record)))

    def render_stands(self, record):
        outside = [finding.point for finding in findings(as_samples(record)) if finding.within is False]
        return "; ".join(outside).lower() or "nothing so far"


class FindingTable(tables.Table):
    """Rows are production.burn_findings.Finding."""

    caption = "What was found, beside its limit"
    point = tables.Column()
    limit = tables.Column("Limit, as reported")
    found = tables.Column("Found")
    within = tables.Column("Stands", empty_values=())

    class Meta:
        orderable = False

    def render_within(self, value):
        return {None: "not known yet", True: "within it", False: "outside it"}[value]


class CycleTable(tables.Table):
    """Rows are cycles in the order of sample and number, each told whether it is its sample's `last`."""

    caption = "Every burn"
    sample = tables.Column(accessor="sample__number", attrs=RIGHT)
    number = tables.Column("Cycle", attrs=RIGHT)
    burnt_on = DateColumn(verbose_name="Burnt on", format="j M Y", attrs=DATE)
    rest_min = tables.Column("Rested, min", attrs=RIGHT)
    minutes = tables.Column("Burnt, min", attrs=RIGHT)
    mass_g = tables.Column("Weighs after, g", attrs=RIGHT)
    flame_mm = tables.Column("Flame, mm", attrs=RIGHT)
    glow_s = tables.Column("Smoke and glow, s", attrs=RIGHT)
    relit = tables.Column("Lit again", attrs=SOFT)
    soot_index = tables.Column("Soot an hour", default="", attrs=RIGHT)
    note = tables.Column(default="", attrs=SOFT)
    person = tables.Column("Who")
    act = tables.TemplateColumn(template_name="production/cells/cycle_back.html", verbose_name=ACTS, orderable=False)

    class Meta:
        orderable = False
        empty_text = "Nothing has burnt yet."

    def render_relit(self, value):
        return "yes" if value else "no"
