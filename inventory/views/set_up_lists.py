"""The lists of the set-up all work alike: a table, a form beneath it that adds, a page a row that changes or deletes.

`SetUpList` names what differs; the three makers below turn it into views. orders makes its own lists the same way.
"""

from collections.abc import Callable
from dataclasses import dataclass, field

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db.models import Model, QuerySet
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods, require_POST

from config.roles import for_roles
from inventory.domain import set_up as domain
from inventory.domain.versions import StaleVersion
from inventory.views.paging import RequestConfig

ROWS_A_PAGE = 50


@dataclass(frozen=True)
class SetUpList:
    """A list: its URL names (list, row, deletion as row + "_delete"), form, table, rows, and what its pages say."""

    list_name: str
    row_name: str
    title: str
    form: type
    table: type
    rows: Callable[[], QuerySet]
    headline: Callable[[list], str]
    context: str
    caution: str = ""  # a template part with what the trade warns of
    add: Callable = field(default=domain.add_row)
    change: Callable = field(default=domain.change_row)
    remove: Callable = field(default=domain.remove_row)

    @property
    def model(self) -> type[Model]:
        return self.form._meta.model


def list_view(spec: SetUpList):
    @for_roles("owner")
    @require_http_methods(["GET", "HEAD", "POST"])
    def view(request):
        form = spec.form(request.POST or None)
        if request.method == "POST" and form.is_valid():
            try:
                row = spec.add(row=spec.model(**form.values), by=request.user)
            except ValidationError as refused:
                form.refuse(refused)
            else:
                messages.success(request, f"{domain.noun_of(row)} {row} is written down.")
                return redirect(spec.list_name)
        rows = list(spec.rows())
        table = spec.table(rows)
        RequestConfig(request, paginate={"per_page": ROWS_A_PAGE}).configure(table)
        context = {"spec": spec, "form": form, "table": table, "headline": spec.headline(rows)}
        return render(request, "inventory/setup/list.html", context, status=422 if form.is_bound else 200)

    return view


def row_view(spec: SetUpList):
    @for_roles("owner")
    @require_http_methods(["GET", "HEAD", "POST"])
    def view(request, pk: int):
        row = get_object_or_404(spec.model, pk=pk)
        if request.method != "POST":
            return show_row(request, spec, row, spec.form(instance=row))
        form, theirs = spec.form(request.POST, instance=spec.model.objects.get(pk=pk)), []
        if form.is_valid():
            try:
                changed = spec.change(row=row, values=form.values, seen=form.cleaned_data["seen"], by=request.user)
            except StaleVersion as stale:
                theirs = take_stale(form, stale, row)
            except ValidationError as refused:
                form.refuse(refused)
            else:
                messages.success(request, f"{domain.noun_of(changed)} {changed} is written down.")
                return redirect(spec.list_name)
        return show_row(request, spec, row, form, theirs=theirs, status=422)

    return view


def remove_view(spec: SetUpList):
    @for_roles("owner")
    @require_POST
    def view(request, pk: int):
        row = get_object_or_404(spec.model, pk=pk)
        label = f"{domain.noun_of(row)} {row}"
        try:
            spec.remove(row=row, by=request.user)
        except ValidationError as refused:
            form = spec.form(instance=row)
            return show_row(request, spec, row, form, refused=refused.messages, status=422)
        messages.success(request, f"{label} is deleted.")
        return redirect(spec.list_name)

    return view


def take_stale(form, stale: StaleVersion, row: Model) -> list[tuple[str, str]]:
    """Tell the form it came second; returns what the first wrote, (field, value), where it differs from this one."""
    form.add_error(None, stale)
    row.refresh_from_db()
    form.see(row)
    now, typed = domain.said(row, form.value_fields), domain.said(form.instance, form.value_fields)
    return [(name, value) for name, value in now.items() if value != typed[name]]


def show_row(request, spec, row, form, *, theirs=(), refused=(), status=200):
    context = {"spec": spec, "row": row, "form": form, "theirs": theirs, "refused": refused}
    context["label"] = f"{domain.noun_of(row)} {row}"
    return render(
        request, "inventory/setup/row.html", {**context, "delete_name": f"{spec.row_name}_delete"}, status=status
    )
