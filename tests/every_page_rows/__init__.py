"""Rows for tests/every_page.py, a module an area: kwargs by the names of its addresses."""

from tests.every_page_rows import (
    buying,
    costs,
    extras,
    labels,
    materials,
    order_forms,
    season,
    seconds,
    sheets,
    shop_links,
    trace,
)
from tests.factories.season import Season

AREAS = (materials, buying, costs, seconds, extras, labels, trace, sheets, order_forms, season, shop_links)


def area_rows(season: Season) -> dict[str, dict]:
    found = {}
    for area in AREAS:
        found.update(area.rows(season))
    return found
