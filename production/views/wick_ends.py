"""Wick ends: what lies loose, what stands in bags, and a form for what comes and goes."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from config.roles import for_roles
from inventory.views.lists import PER_PAGE
from inventory.views.paging import RequestConfig
from inventory.words import counted
from production.domain.wick_ends import book_wick_ends, wick_ends_there
from production.forms.wick_ends import WickEndsForm
from production.models import WickEnds
from production.tables.wick_ends import WickEndsTable


@for_roles("dipper", "packer")
@require_http_methods(["GET", "HEAD", "POST"])
def wick_ends(request):
    form = WickEndsForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        given = {**form.cleaned_data, "grams": form.cleaned_data["grams"] or 0, "bags": form.cleaned_data["bags"] or 0}
        try:
            row = book_wick_ends(**given, by=request.user)
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, f"Booked: {row.kind}, {_amounts(row)}.")
            return redirect("wick_ends")
    table = WickEndsTable(WickEnds.objects.select_related("person"))
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(table)
    context = {"form": form, "table": table, "headline": _in_words(wick_ends_there())}
    return render(request, "production/wick_ends.html", context, status=422 if form.errors else 200)


def _amounts(row: WickEnds) -> str:
    parts = [f"{abs(row.grams):,} g"] if row.grams else []
    parts += [counted(abs(row.bags), "bag")] if row.bags else []
    return " and ".join(parts)


def _in_words(there: dict) -> str:
    bags = f"{counted(there['bags'], 'bag')} of firelighters {'stands' if there['bags'] == 1 else 'stand'} filled"
    loose = f"{there['grams'] / 1000:,.1f} kg of wick ends lie loose"
    return f"{bags}; {loose}." if there["bags"] or there["grams"] else "No wick ends lie loose and no bag is filled."
