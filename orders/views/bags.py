"""Bags of firelighters on a draft of seconds."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from config.roles import for_roles
from orders.domain.bags import free_bags, put_bags
from orders.forms.bags import BagsForm
from orders.models import OrderBags
from orders.views.order import get_order


@for_roles("packer")
@require_http_methods(["GET", "HEAD", "POST"])
def order_bags(request, number):
    order = get_order(number)
    row = OrderBags.objects.filter(order=order).first()
    form = BagsForm(request.POST or None, initial={"bags": row.bags if row else ""})
    if request.method == "POST" and form.is_valid():
        try:
            row = put_bags(order=order, bags=form.cleaned_data["bags"] or 0, by=request.user)
        except ValidationError as error:
            for reason in error.messages:
                form.add_error("bags", reason)
        else:
            messages.success(request, f"{row.words}, on this draft." if row else "No bag is on this draft.")
            return redirect(order)
    context = {
        "order": order,
        "form": form,
        "headline": f"How many bags of firelighters go with order {number} of {order.shop}?",
        "said": f"{free_bags():,} bags are free. They go with the first delivery and are invoiced with it. "
        "0 takes them off.",
        "act": "Put them on the draft",
    }
    return render(request, "orders/order_act.html", context, status=422 if form.is_bound else 200)
