"""Template tags every page has. One small module a picture does the drawing; this only names them."""

from decimal import Decimal

from django import template
from django.conf import settings
from django.templatetags.static import static
from django.urls import NoReverseMatch, reverse
from django.utils import formats, timezone
from django.utils.html import conditional_escape, escape
from django.utils.safestring import SafeString, mark_safe

from config.places import PLACE_OF
from config.roles import works_as
from config.whole_copy.daily import newest_known
from config.whole_copy.words import ELSEWHERE, sentence
from inventory.pair_svg import draw_pair, draw_pair_of
from inventory.tables.drawing import draw_head, draw_rows
from orders.cover import WORDS, Cover
from orders.cover_svg import draw_cover, draw_swatch
from orders.money import in_pounds
from orders.prices import in_percent

register = template.Library()


@register.simple_tag
def pair(candle, second: bool = False, title: str | None = None) -> SafeString:
    """The candle's picture. Lists fetch the colour with the candle (select_related), or each row asks for it."""
    return draw_pair_of(candle, second=second, title=title)


@register.simple_tag
def cover(cover: Cover, width: int = 192, height: int = 14) -> SafeString:
    """The cover bar, width and height in CSS px."""
    return draw_cover(cover, width=width, height=height)


@register.simple_tag(takes_context=True)
def table_rows(context, table) -> SafeString:
    """The rows of a django-tables2 table. Cells with a template of their own see what the page sees."""
    return draw_rows(table, getattr(table, "context", context))


@register.simple_tag(takes_context=True)
def table_head(context, table) -> SafeString:
    """The headings of a django-tables2 table, with links that sort this page by them."""
    return draw_head(table, context["request"])


@register.filter
def stylesheets(names: str) -> list[str]:
    """Addresses of the named sheets in config/static/css, in that order."""
    return [static(f"css/{name}.css") for name in names.split()]


@register.filter
def options(groups) -> SafeString:
    """The <option>s of a select, as Django's own templates write them, without a template for each."""
    lines = []
    for name, choices, _ in groups:
        lines += [f'<optgroup label="{conditional_escape(name)}">'] if name else []
        lines += [_option(choice) for choice in choices]
        lines += ["</optgroup>"] if name else []
    return mark_safe("\n".join(lines) + "\n")  # noqa: S308 - every part is escaped


def _option(choice: dict) -> str:
    label, attrs = conditional_escape(formats.localize(choice["label"])), choice["attrs"]
    return f'<option value="{escape(choice["value"])}"{attributes(attrs) if attrs else ""}>{label}</option>'


@register.filter
def attributes(attrs: dict) -> SafeString:
    """The attributes of a widget, as Django's own template writes them: True stands alone, False is left out."""
    kept = [(name, value) for name, value in attrs.items() if value is not False]
    told = [f" {name}" if value is True else f' {name}="{conditional_escape(value)}"' for name, value in kept]
    return mark_safe("".join(told))  # noqa: S308 - every value is escaped


@register.filter
def pounds(amount) -> str:
    """GBP as on pages and papers: 1,566.00."""
    return in_pounds(amount)


@register.filter
def percent(figure) -> str:
    """ "5 %", "7.5 %"."""
    return in_percent(figure)


@register.filter
def grouped(number: int) -> str:
    """A whole number with commas: 1,200."""
    return f"{number:,}"


@register.simple_tag
def cover_words() -> list[tuple[SafeString, str]]:
    """(weave, word) of each part of a cover bar, for the legend."""
    return [(draw_swatch(name), word) for name, word in WORDS.items()]


@register.simple_tag(takes_context=True)
def places(context) -> list[dict]:
    """The rail as links: label, url, quiet, current ("page", "true" for a page within the place, or empty).

    A place whose page is not built is left out. Works on pages made without a request, such as the 400.
    """
    match = getattr(context.get("request"), "resolver_match", None)
    here = match.url_name if match else None
    links = []
    for place in context.get("rail") or ():
        try:
            url = reverse(place["name"])
        except NoReverseMatch:
            continue
        within = "true" if PLACE_OF.get(here) == place["name"] else ""
        links.append({**place, "url": url, "current": "page" if here == place["name"] else within})
    return links


@register.simple_tag(takes_context=True)
def newest_copy(context) -> dict:
    """Of the newest copy of the book: its `sentence`, and whether it `presses`. The owner is told, not of the demo."""
    if settings.IS_DEMO or not works_as(context["request"].user):
        return {}
    if settings.WORKER_ELSEWHERE:
        return {"sentence": ELSEWHERE, "presses": False}
    known, today = newest_known(), timezone.localdate()
    return {"sentence": sentence(known, today, settings.COPIES), "presses": known.presses(today)}


@register.simple_tag
def frozen_pair(picture: dict, second: bool = False) -> SafeString:
    """The picture a paper froze: {"length_mm", "base_mm", "tip_mm", "colour"}, all as text. Small: rows are low."""
    sizes = {name: Decimal(picture[name]) for name in ("length_mm", "base_mm", "tip_mm")}
    return draw_pair(**sizes, colour=picture["colour"], second=second, scale=0.1)
