"""Remelt: what lies for melting, and weighing it back into stock."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from config.roles import for_roles
from inventory.material_words import GRAM, amount_in_words
from inventory.views.lists import PER_PAGE
from inventory.views.paging import RequestConfig
from production.balance_words import kilograms, left_differs, remelt_headline
from production.domain.remelting import weigh_in_remelt
from production.forms.remelt import RemeltForm
from production.queries.remelt import ends_remelted, lying_for_remelt, remelts, tub_of
from production.tables.remelt import LyingTable, RemeltTable


@for_roles("dipper", "packer")
@require_http_methods(["GET", "HEAD", "POST"])
def remelt(request):
    asked = {name: request.GET[name] for name in ("wax", "colour") if request.GET.get(name, "").isdecimal()}
    form = RemeltForm(request.POST or None, initial=asked)
    if request.method == "POST" and form.is_valid():
        given = form.given()
        before = tub_of(given["wax"], given["colour"]).left
        try:
            row = weigh_in_remelt(**given, by=request.user)
        except ValidationError as refused:
            form.add_error(None, _by_field(refused))
        else:
            differs = left_differs(before, row.grams, row.left)
            messages.success(
                request, f"{amount_in_words(row.grams, GRAM)} weighed in as {row.lot}: write that on it. {differs}"
            )
            return redirect("remelt")
    return _show(request, form)


def _by_field(refused: ValidationError) -> ValidationError:
    """The form asks for kilograms where the domain has grams."""
    if not hasattr(refused, "error_dict"):
        return refused
    names = {"grams": "kilograms", "amount": "kilograms"}
    return ValidationError({names.get(name, name): errors for name, errors in refused.error_dict.items()})


def _show(request, form):
    lying = lying_for_remelt()
    table, done = LyingTable(lying), RemeltTable(remelts())
    RequestConfig(request, paginate=False).configure(table)
    RequestConfig(request, paginate={"per_page": PER_PAGE}).configure(done)
    context = {
        "headline": remelt_headline([(row.name, row.tub) for row in lying]),
        "ends": kilograms(ends_remelted()),
        "form": form,
        "table": table,
        "done": done,
    }
    return render(request, "production/remelt.html", context, status=422 if form.errors else 200)
