"""Set-up: the index, and the lists that belong to orders."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_http_methods

from config.roles import for_roles
from inventory.domain.set_up import WORKSHOP_ID
from inventory.domain.versions import StaleVersion
from inventory.models import Record
from inventory.queries.setup import counted
from inventory.views.set_up_lists import SetUpList
from inventory.views.setup import how_many
from orders.domain import set_up as domain
from orders.forms.setup import BoxKindForm, SeriesForm, VanDayForm, VatRateForm
from orders.models import Box, BoxKind, Series, VanDay, VatRate
from orders.queries.set_up import parts_of_set_up, sentence_of
from orders.tables.setup import BoxKindTable, PartTable, SeriesTable, VanDayTable, VatRateTable

SHOWN_RECORDS = 20


@for_roles("owner")
@require_http_methods(["GET", "HEAD"])
def set_up(request):
    parts = parts_of_set_up()
    records = Record.objects.filter(subject="workshop", subject_id=WORKSHOP_ID).select_related("person")
    context = {
        "headline": sentence_of(parts),
        "table": PartTable([vars(part) for part in parts]),
        "first_missing": next((part for part in parts if part.missing), None),
        "records": records[:SHOWN_RECORDS],
    }
    return render(request, "orders/setup/index.html", context)


@for_roles("owner")
@require_http_methods(["GET", "HEAD"])
def series(request):
    rows = list(Series.objects.order_by("pk"))
    table = SeriesTable(rows, last={row.pk: domain.last_given(row) for row in rows}, orderable=False)
    return render(request, "orders/setup/series.html", {"table": table})


@for_roles("owner")
@require_http_methods(["GET", "HEAD", "POST"])
def next_number(request, pk: int):
    row = get_object_or_404(Series, pk=pk)
    form = SeriesForm(request.POST or None, series=row)
    if request.method == "POST" and form.is_valid():
        given = form.cleaned_data
        try:
            domain.raise_next_number(series=row, number=given["number"], seen=given["seen"], by=request.user)
        except StaleVersion as stale:
            row.refresh_from_db()
            form.add_error(None, stale)
            form.see(row)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"The next {row.name} has number {row.prefix}{given['number']}.")
            return redirect("series")
    context = {"form": form, "series": row, "last": domain.last_given(row)}
    return render(request, "orders/setup/next_number.html", context, status=422 if form.is_bound else 200)


BOX_KINDS = SetUpList(
    list_name="box_kinds",
    row_name="box_kind",
    title="Box kinds",
    form=BoxKindForm,
    table=BoxKindTable,
    rows=lambda: BoxKind.objects.annotate(boxes=counted(Box.objects, "kind")),
    headline=how_many(
        "kind of box", "kinds of box", "packing chooses among those in use.", "No box yet; nothing can be packed."
    ),
    context="Inside sizes in mm, weights in g.",
    caution="orders/setup/_lifting.html",
    add=domain.add_box_kind,
    change=domain.change_box_kind,
    remove=domain.remove_box_kind,
)


def van_headline(rows: list[VanDay]) -> str:
    days = [str(row) for row in rows]
    if not days:
        return "The van never goes out yet; name the first day."
    return f"The van goes out on {' and '.join(filter(None, [', '.join(days[:-1]), days[-1]]))}."


VAN_DAYS = SetUpList(
    list_name="van_days",
    row_name="van_day",
    title="Van days",
    form=VanDayForm,
    table=VanDayTable,
    rows=VanDay.objects.all,
    headline=van_headline,
    context="The packing bench proposes the next of these days.",
)
VAT_RATES = SetUpList(
    list_name="vat_rates",
    row_name="vat_rate",
    title="VAT rates",
    form=VatRateForm,
    table=VatRateTable,
    rows=VatRate.objects.all,
    headline=how_many(
        "VAT rate", "VAT rates", "an invoice takes the one in force at its tax point.", "No VAT rate yet."
    ),
    context="A rate that invoices were made with stays; a change of the law is a new rate from its day on.",
    add=domain.add_vat_rate,
    change=domain.change_vat_rate,
    remove=domain.remove_vat_rate,
)
