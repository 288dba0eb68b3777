"""What an order can have before its goods leave: a pro forma, and the invoice of a deposit."""

import uuid

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from config.roles import for_roles
from orders.domain.before_sending import deposit_figures, issue_deposit, issue_pro_forma
from orders.domain.order_draft import draft_deposit, draft_pro_forma
from orders.forms.credits import DepositForm
from orders.models import Order
from orders.money import in_pounds
from orders.tables.invoices import LineTable, VatTable
from orders.views.refusals import placed

REFUSED = 422
SUMS = ("goods", "allowance", "deposit", "carriage", "net", "vat", "gross")


def _order(number: int) -> Order:
    return get_object_or_404(Order.objects.select_related("shop", "deliver_to"), number=number)


@for_roles("bookkeeper")
@require_http_methods(["GET", "HEAD", "POST"])
def pro_forma(request, number):
    order, why, draft = _order(number), "", None
    try:
        if request.method == "POST":
            made = issue_pro_forma(
                order=order, issued_on=timezone.localdate(), by=request.user, submission=_submission(request)
            )
            messages.success(request, f"{made} is issued: {in_pounds(made.gross)} {made.currency}.")
            return redirect("order", order.number)
        draft = draft_pro_forma(order=order, issued_on=timezone.localdate())
    except ValidationError as error:
        why = " ".join(error.messages)
    context = {
        "order": order,
        "why": why,
        "submission": uuid.uuid4(),
        "earlier": order.pro_formas.select_related("paper").defer("paper__content"),
        **preview(draft),
    }
    return render(request, "orders/pro_forma.html", context, status=REFUSED if request.method == "POST" else 200)


def _submission(request):
    """The form's own key; without one that can be read each sending is a paper of its own."""
    try:
        return uuid.UUID(request.POST.get("submission", ""))
    except ValueError:
        return None


@for_roles("bookkeeper")
@require_http_methods(["GET", "HEAD", "POST"])
def deposit_new(request, number):
    """The form answers "show the figures" with them, and issues what was seen."""
    order, draft, today = _order(number), None, timezone.localdate()
    form = DepositForm(request.POST if request.method == "POST" else None)
    if form.is_bound and form.is_valid():
        given = {name: form.cleaned_data[name] for name in ("received", "received_on")}
        try:
            if "issue" in request.POST:
                made = issue_deposit(
                    order=order, issued_on=today, by=request.user, seen=form.cleaned_data["seen"], **given
                )
                messages.success(request, f"{made} is issued for the deposit of {in_pounds(made.gross)}.")
                return redirect(made)
            draft = draft_deposit(order=order, issued_on=today, **given)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
    context = {"order": order, "form": form, **preview(draft)}
    if draft:
        context["seen"] = deposit_figures(draft)
    return render(request, "orders/deposit_new.html", context, status=REFUSED if form.is_bound and not draft else 200)


def preview(draft) -> dict:
    """Every figure of a draft as the page shows it; nothing where there is none."""
    if draft is None:
        return {}
    return {
        "draft": draft,
        "figures": {name: in_pounds(getattr(draft.total, name)) for name in SUMS},
        "carriage": [{"why": part.why, "amount": in_pounds(part.amount)} for part in draft.carriage],
        "lines": LineTable([line for line in draft.lines if line.order_line]),
        "rates": VatTable(draft.total.rates),
    }
