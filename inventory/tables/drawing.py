"""A table's rows as HTML, as django-tables2 would draw them, at a tenth of its price.

django-tables2 asks for each cell what it could know for the whole column: which arguments a method takes, where a
value lies, whether its field has choices, what the <td> carries. Here that is asked once a column (`Cells`), and a
cell is then little more than a call. What is not usual (an accessor that calls a method, attributes worked out row by
row) goes django-tables2's own way. `tests/inventory/test_drawing.py` holds the two to the same text.
"""

from collections.abc import Callable
from functools import lru_cache
from html import escape

from django.db import models
from django.template import Context, Template
from django.template.base import render_value_in_context
from django.template.loader import get_template
from django.utils import formats
from django.utils.html import conditional_escape
from django.utils.http import urlencode
from django.utils.safestring import SafeString, mark_safe
from django.utils.text import capfirst
from django_tables2 import Column, TemplateColumn
from django_tables2.columns import BoundColumn
from django_tables2.columns.linkcolumn import BaseLinkColumn
from django_tables2.columns.manytomanycolumn import ManyToManyColumn
from django_tables2.utils import A, AttributeDict, computed_values, signature

NOTHING = object()


def draw_rows(table, context: Context) -> SafeString:
    """The <tr> of each row of the table's page, one a line; "" for a table without rows. Marked safe."""
    columns = [Cells(table, bound, context) for bound in table.columns]
    drawn, attrs_of = [], _row_attrs(table)
    for row in table.paginated_rows:
        drawn.append(f"<tr {attrs_of(row)}>\n")
        drawn += [column.draw(row) for column in columns]
        drawn.append("</tr>\n")
    return mark_safe("".join(drawn))  # noqa: S308 - every cell was escaped


def draw_head(table, request) -> SafeString:
    """The <th> of each column, one a line; where it sorts, a link to this page sorted by it. Marked safe."""
    asked, drawn = dict(request.GET), []
    asked.pop(table.prefixed_page_field, None)
    for column in table.columns:
        attrs, way, mark = column.attrs["th"].as_html(), "", ""
        name = conditional_escape(column.header)
        if column.is_ordered:
            down = column.order_by_alias.is_descending
            way = f' aria-sort="{"descending" if down else "ascending"}"'
            mark = f'<span class="way" aria-hidden="true">{"↓" if down else "↑"}</span>'
        if column.orderable:
            sorted_by = {**asked, table.prefixed_order_by_field: column.order_by_alias.next}
            name = f'<a href="{escape("?" + urlencode(sorted_by, doseq=True))}">{name}{mark}</a>'
        elif not name:
            name = f'<span class="unseen">{escape(capfirst(column.name))}</span>'
        drawn.append(f'<th scope="col"{way} {attrs}>{name}</th>\n')
    return mark_safe("".join(drawn))  # noqa: S308 - names and addresses were escaped


def _row_attrs(table) -> Callable:
    if table.row_attrs or table.pinned_data["top"] or table.pinned_data["bottom"]:
        return lambda row: row.attrs.as_html()
    return lambda row: f'class="{row.get_even_odd_css_class()}"'


class Cells:
    """One column of a table, ready to draw its cell of any row."""

    def __init__(self, table, bound: BoundColumn, context: Context):
        self.table, self.bound, self.column, self.context = table, bound, bound.column, context
        self.accessor = A(bound.accessor)
        self.bits = self.accessor.bits
        self.takes = _arguments(bound.render)
        self.default = NOTHING
        self.td = None if _changes_by_row(table, bound) else f"<td {bound.attrs['td'].as_html()}>"
        # A column that only hands its value on need not be asked.
        self.plain = getattr(bound.render, "__func__", None) is Column.render
        self.template = self._own_template()
        self.usual = not isinstance(self.column, BaseLinkColumn | ManyToManyColumn)

    def _own_template(self):
        if getattr(self.bound.render, "__func__", None) is not TemplateColumn.render:
            return None
        code = self.column.template_code
        return _compiled(code) if code else get_template(self.column.template_name).template

    def draw(self, row) -> str:
        cell = self._cell(row)
        td = self.td
        if td is None:
            self.bound.current_value, self.bound.current_record = cell, row.record
            td = f"<td {self.bound.attrs['td'].as_html()}>"
        return f"{td}{self._text(cell)}</td>\n"

    def _text(self, cell) -> str:
        kind = type(cell)
        if kind is SafeString:
            return cell
        if kind is not str:
            if (localize := self.column.localize) is not None:
                cell = str(formats.localize(cell, use_l10n=localize))
            return render_value_in_context(cell, self.context)
        return escape(cell)

    def _cell(self, row):
        record = row.record
        value = self._value(record) if self.usual else NOTHING
        if value is NOTHING:
            return row.get_cell(self.bound.name)
        if value in self.column.empty_values:
            return self.bound.default
        link = self.bound.link
        if self.plain and not link:
            return value
        given = {
            "value": value,
            "record": record,
            "column": self.column,
            "bound_column": self.bound,
            "bound_row": row,
            "table": self.table,
        }
        content = value if self.plain else self._rendered(given)
        return _linked(link, content, given) if link else content

    def _rendered(self, given: dict):
        if self.template is not None:
            return self._filled_in(given)
        return _called(self.bound.render, self.takes, given)

    def _filled_in(self, given: dict) -> SafeString:
        """A cell's own template, which sees all that the page sees. The page's context is not made anew for it."""
        cell = self.column.get_context_data(**given)
        with self.context.update(cell):
            return self.template.render(self.context)

    def _value(self, record):
        """What the accessor leads to; NOTHING where it has to be found django-tables2's way."""
        if type(record) is dict and self.accessor in record:
            return record[self.accessor]
        shown = isinstance(record, models.Model) and _has_choices(type(record), self.accessor)
        value = record
        for bit in self.bits[:-1] if shown else self.bits:
            if hasattr(type(value), "__getitem__"):
                return NOTHING
            value = getattr(value, bit, None)
            if value is None:
                return None
            if callable(value):
                return NOTHING
        return getattr(value, f"get_{self.bits[-1]}_display")() if shown else value


@lru_cache(maxsize=200)
def _compiled(code: str) -> Template:
    return Template(code)


@lru_cache(maxsize=1000)
def _has_choices(model: type[models.Model], accessor: A) -> bool:
    """Whether it leads to a field with choices, which is shown by the words of its choice."""
    field = accessor.get_field(model)
    return bool(getattr(field, "choices", None)) and field.name == accessor.bits[-1]


def _changes_by_row(table, bound: BoundColumn) -> bool:
    """Whether some attribute of its cells is worked out row by row."""
    attrs = {**table.attrs, **bound.column.attrs}
    cells = attrs.get("td", attrs.get("cell", {}))
    return any(callable(value) for value in cells.values())


def _arguments(function: Callable) -> tuple[tuple[str, ...], bool]:
    """Names of the arguments it takes, and whether it takes any other by name."""
    return _arguments_of(getattr(function, "__func__", function), hasattr(function, "__func__"))


@lru_cache(maxsize=1000)
def _arguments_of(function: Callable, bound: bool) -> tuple[tuple[str, ...], bool]:
    names, others = signature(function)
    return (names[1:] if bound else names), bool(others)


def _called(function: Callable, takes: tuple[tuple[str, ...], bool], given: dict):
    names, others = takes
    if others:
        return function(**given)
    try:
        return function(**{name: given[name] for name in names})
    except KeyError:
        if all(name in given for name in names):
            raise
        return None


def _linked(link, content, given: dict):
    """The content inside its <a>; as it is where it leads nowhere."""
    asked = callable(link.url)
    href = _called(link.url, _arguments(link.url), given) if asked else link.compose_url(**given)
    if href is None:
        return content
    own = AttributeDict(computed_values(link.attrs, kwargs=given)).as_html() + " " if link.attrs else ""
    return mark_safe(f'<a {own}href="{escape(str(href))}">{conditional_escape(content)}</a>')  # noqa: S308 - escaped
