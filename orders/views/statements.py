"""Statements, reminders and late charges: looked at first, issued on a press, sent by letter where wished."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles
from orders.domain.late import add_late_charge, late_offer, waive_late_charge
from orders.domain.statements import (
    addresses_of,
    draft_reminder,
    draft_statement,
    issue_reminder,
    issue_statement,
    seen_of,
)
from orders.forms.payments import LateForm, ReasonForm, SendForm
from orders.models import Invoice, LateCharge, Shop
from orders.models.late import POLICIES
from orders.money import in_pounds
from orders.queries.debts import charges_with_open
from orders.tables.debts import MovedTable, OpenRowTable
from orders.tables.late import StretchTable
from orders.views.debts import asked_currency
from orders.views.refusals import placed

REFUSED = 422


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def statement_new(request, pk):
    return _send(request, pk, draft_statement, issue_statement, "orders/statement_new.html")


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def reminder_new(request, pk):
    return _send(request, pk, draft_reminder, issue_reminder, "orders/reminder_new.html")


def _send(request, pk, draft, issue, template):
    """Show a paper as it would be issued; issue it as it was seen."""
    shop, today = get_object_or_404(Shop, pk=pk), timezone.localdate()
    currency, form = asked_currency(request, shop.currency), None
    if request.method == "POST":
        form = SendForm(request.POST)
        if form.is_valid():
            try:
                paper = issue(shop=shop, by=request.user, **form.cleaned_data)
            except ValidationError as error:
                form.add_error(None, placed(form, error))
            else:
                messages.success(request, _told(paper, form.cleaned_data["to"]))
                return redirect("shop_ledger", shop.pk)
            currency = form.cleaned_data["currency"]
    try:
        content = draft(shop=shop, currency=currency, today=today)
    except ValidationError as nothing:
        context = {"shop": shop, "nothing": " ".join(nothing.messages), "form": form}
        return render(request, template, context, status=REFUSED if form else 200)
    form = form or SendForm(initial={"to": addresses_of(shop)})
    if form.is_bound:
        form.data = form.data.copy()
        form.data.update({"seen": seen_of(content), "currency": currency})
    else:
        form.initial.update({"seen": seen_of(content), "currency": currency})
    context = {"shop": shop, "paper": content, "form": form, "open": OpenRowTable(content["open"])}
    if "entries" in content:
        context["moved"] = MovedTable(content) if content["entries"] else None
    return render(request, template, context, status=REFUSED if form.is_bound else 200)


def _told(paper, to: str) -> str:
    sent = f", and a letter to {to} takes it along" if to.strip() else ""
    return f"{paper.content['title']} {paper.number} is made{sent}."


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def late_charge_new(request, pk):
    """What may be charged, reckoned. Everybody of the ledger may look; only the owner may charge."""
    invoice = get_object_or_404(Invoice.objects.select_related("shop", "paper"), pk=pk)
    today = timezone.localdate()
    try:
        offer = late_offer(invoice=invoice, until=today)
    except ValidationError as nothing:
        context = {"invoice": invoice, "nothing": " ".join(nothing.messages)}
        return render(request, "orders/late_charge_new.html", context, status=REFUSED if request.POST else 200)
    policies = [(policy, f"{words}: {in_pounds(offer.interest(policy))}") for policy, words in POLICIES]
    data = request.POST if request.method == "POST" else None
    form = LateForm(data, policies=policies, initial={"policy": "exact", "with_fixed": bool(offer.fixed)})
    if form.is_bound and form.is_valid():
        given = {name: value for name, value in form.cleaned_data.items() if name != "sure"}
        try:
            charge = add_late_charge(invoice=invoice, by=request.user, **given)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            messages.success(request, f"{charge} is charged: {in_pounds(charge.amount)}.")
            return redirect(charge)
    _show(form, offer)
    context = {"invoice": invoice, "offer": offer, "form": form, "stretches": StretchTable(offer)}
    return render(request, "orders/late_charge_new.html", context, status=REFUSED if form.is_bound else 200)


def _show(form, offer) -> None:
    figures = {"seen": offer.seen, "until": offer.until.isoformat()}
    if form.is_bound:
        form.data = form.data.copy()
        form.data.update(figures)
    else:
        form.initial.update(figures)


@for_roles("bookkeeper")
@require_safe
def late_charge(request, pk):
    charge = get_object_or_404(LateCharge.objects.select_related("paper", "shop", "invoice__paper"), pk=pk)
    row = charges_with_open().filter(pk=pk).first()
    context = {"charge": charge, "open": row.open if row else 0, "waiver": getattr(charge, "waiver", None)}
    return render(request, "orders/late_charge.html", {**context, "form": ReasonForm()})


@for_roles("owner")
@require_POST
def late_charge_waive(request, pk):
    charge = get_object_or_404(LateCharge.objects.select_related("paper", "shop"), pk=pk)
    form = ReasonForm(request.POST)
    if form.is_valid():
        waive_late_charge(charge=charge, by=request.user, **form.cleaned_data)
        messages.success(request, f"{charge} is let go.")
        return redirect(charge)
    context = {"charge": charge, "open": charge.amount, "waiver": getattr(charge, "waiver", None), "form": form}
    return render(request, "orders/late_charge.html", context, status=REFUSED)
