"""What to buy: how long each material lasts, what must be ordered and when, and ordering it with one tap."""

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import transaction
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from config.roles import for_roles
from inventory.csv_out import csv_response
from inventory.domain.buying_needed import order_needed
from inventory.material_words import amount_in_words
from inventory.models import Material
from inventory.views.paging import RequestConfig
from orders.buying import headline
from orders.forms.buying import OrderForm
from orders.queries.buying import what_to_buy
from orders.tables.buying import BuyTable, WeekTable
from production.needs import weeks_from

WEEKS = 4


@for_roles("packer", "dipper")
@require_safe
def material_needs(request):
    return _show(request, OrderForm())


@for_roles("owner")
@require_POST
def material_needs_order(request):
    form = OrderForm(request.POST)
    if form.is_valid():
        try:
            ordered = _order(form, request.user)
        except ValidationError as refused:
            form.add_error(None, refused.messages)
        else:
            for purchase in ordered:
                said = amount_in_words(purchase.amount, purchase.material.unit)
                supplier = purchase.supplier
                messages.success(
                    request,
                    f"Written down: {said} of {purchase.material} from {supplier}. Now tell them: "
                    f"{supplier.telephone or supplier.email or 'no number is known'}.",
                )
            return redirect("material_needs")
    return _show(request, form)


@transaction.atomic
def _order(form: OrderForm, by) -> list:
    """All of them or none."""
    materials = Material.objects.in_bulk(form.chosen)
    return [
        order_needed(
            material=materials[pk],
            amount=form.amount_of(pk),
            under_way=form.seen_of(pk),
            submission=uuid.uuid5(form.cleaned_data["submission"], str(pk)),
            by=by,
        )
        for pk in sorted(materials)
    ]


def _show(request, form: OrderForm):
    today = timezone.localdate()
    rows = what_to_buy(today)
    known, mondays = [row.known for row in rows], weeks_from(today, WEEKS)
    due = [row for row in rows if row.known.due(today)]
    buys = BuyTable(rows, today=today, buys=request.user.owner)
    asked = [row for row in rows if row.needs]
    weeks = WeekTable(asked, today=today, mondays=mondays, exclude=WeekTable.ONLY_IN_THE_FILE)
    for table in (buys, weeks):
        RequestConfig(request, paginate=False).configure(table)
    context = {
        "headline": headline(known, today),
        "form": form,
        "submission": uuid.uuid4(),
        "table": buys,
        "weeks": weeks,
        "due": due if request.user.owner else [],
        "due_keys": " ".join(str(row.pk) for row in due),
    }
    return render(request, "orders/buying.html", context, status=422 if form.errors else 200)


@for_roles("packer", "dipper")
@require_safe
def material_needs_csv(request):
    today = timezone.localdate()
    return csv_response(WeekTable(what_to_buy(today), today=today, mondays=weeks_from(today, WEEKS)), "what-to-buy")
