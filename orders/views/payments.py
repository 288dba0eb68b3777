"""Payments: entering one, sharing it out, taking it back, paying back."""

from decimal import Decimal

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.text import capfirst
from django.views.decorators.http import require_http_methods, require_safe

from config.roles import for_roles
from inventory.queries.records import records_of
from orders.domain.payments import pay_back, post_payment, share_payment, take_back, take_off
from orders.forms.payments import OffForm, PartsForm, PaymentForm, RefundForm, TakeBackForm
from orders.matching import Money
from orders.models import Payment, Shop
from orders.money import NOUGHT, in_pounds
from orders.queries.debts import on_account, open_papers, payments_with_left
from orders.queries.payments import proposal_for, settled_by
from orders.tables.debts import OpenTable, PartTable
from orders.tables.order_page import StoryTable
from orders.views.debts import asked_currency
from orders.views.refusals import placed

REFUSED = 422


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def payment_new(request, pk):
    """The form also answers "share it out": amounts proposed for each paper, and nothing posted."""
    shop = get_object_or_404(Shop, pk=pk)
    papers = open_papers([shop.pk])
    if request.method == "GET":
        form = PaymentForm(papers=papers, initial={"currency": asked_currency(request, shop.currency)})
        return _payment_page(request, shop, form)
    form = PaymentForm(request.POST, papers=papers)
    if not form.is_valid():
        return _payment_page(request, shop, form, status=REFUSED)
    given = form.cleaned_data
    if "share" in request.POST:
        money = Money(given["amount"], given["on"], given["reference"])
        found = proposal_for(shop, papers, money, currency=given["currency"])
        form.fill(found.parts, found.prompt)
        return _payment_page(request, shop, form, found=found)
    head = {name: given[name] for name in (*PaymentForm.HEAD, "submission")}
    try:
        made = post_payment(shop=shop, parts=form.parts, prompt=form.prompt, by=request.user, **head)
    except ValidationError as error:
        form.add_error(None, placed(form, error))
        return _payment_page(request, shop, form, status=REFUSED)
    messages.success(request, f"{capfirst(made)} is posted.")
    return redirect(made)


def _payment_page(request, shop, form, *, found=None, status=200):
    today = timezone.localdate()
    owed = sum((one.open for one in form.papers if one.currency == shop.currency), NOUGHT)
    context = {
        "shop": shop, "form": form, "found": found, "owed": owed, "papers": form.papers,
        "table": OpenTable(form.papers, today=today, form=form),
    }  # fmt: skip
    return render(request, "orders/payment_new.html", context, status=status)


@for_roles("bookkeeper")
@require_safe
def payment(request, pk):
    row = get_object_or_404(Payment.objects.select_related("shop", "by", "taken_back", "reverses"), pk=pk)
    left = payments_with_left().filter(pk=pk).values_list("left", flat=True).first()
    back = getattr(row, "taken_back", None)
    context = {
        "payment": row,
        "back": back,
        "left": left,
        "parts": PartTable(settled_by(row), payment=row, may_change=back is None),
        "papers": [one for one in open_papers([row.shop_id]) if one.currency == row.currency],
        "may_take_back": back is None and row.reverses is None,
        "line": getattr(row, "bank_line", None),
        "story": StoryTable(records_of("payment", pk)),
    }
    return render(request, "orders/payment.html", context)


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def payment_share(request, pk):
    """Put what lies on account against open papers."""
    row = get_object_or_404(Payment.objects.select_related("shop"), pk=pk)
    left = payments_with_left().filter(pk=pk).values_list("left", flat=True).first() or Decimal(0)
    papers = [one for one in open_papers([row.shop_id]) if one.currency == row.currency]
    found = proposal_for(row.shop, papers, Money(left, row.on, row.reference), currency=row.currency)
    initial = {f"part_{key}": amount for key, amount in found.parts}
    form = PartsForm(request.POST or None, papers=papers, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            share_payment(payment=row, parts=form.parts, by=request.user)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            messages.success(request, "What lay on account is set against the papers.")
            return redirect(row)
    table = OpenTable(papers, today=timezone.localdate(), form=form)
    context = {"payment": row, "left": left, "form": form, "table": table}
    return render(request, "orders/payment_share.html", context, status=REFUSED if request.method == "POST" else 200)


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def payment_off(request, pk):
    """Take a payment off one paper; it lies on account again."""
    row = get_object_or_404(Payment.objects.select_related("shop"), pk=pk)
    initial = {"key": request.GET.get("key", "")}
    form = OffForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            taken = take_off(payment=row, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            messages.success(request, f"{in_pounds(taken)} lies on account again.")
            return redirect(row)
    headline = f"Take {row} off a paper it was put against?"
    return _ask(request, row.get_absolute_url(), form, headline, "Take it off")


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def payment_back(request, pk):
    """It bounced, or was never right."""
    row = get_object_or_404(Payment.objects.select_related("shop"), pk=pk)
    form = TakeBackForm(request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid():
        try:
            back = take_back(payment=row, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            messages.success(
                request, f"{capfirst(row)} of {row.shop.name} {_gone(back)}; what it settled is open again."
            )
            return redirect(row)
    headline = f"{capfirst(row)} of {row.shop.name}: what happened to it?"
    return _ask(request, row.get_absolute_url(), form, headline, "Take it back")


def _gone(back: Payment) -> str:
    return "bounced" if back.kind == "bounced" else "was a mistake"


@for_roles("bookkeeper")
@require_http_methods(["GET", "POST"])
def refund_new(request, pk):
    shop = get_object_or_404(Shop, pk=pk)
    there = {currency: amount for (_, currency), amount in on_account([pk]).items()}
    currency = asked_currency(request, next(iter(there), shop.currency))
    initial = {"currency": currency, "amount": there.get(currency)}
    form = RefundForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST" and form.is_valid():
        try:
            made = pay_back(shop=shop, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            messages.success(request, f"{capfirst(made)} is posted.")
            return redirect(made)
    lies = ", ".join(f"{in_pounds(amount)} {currency}" for currency, amount in there.items()) or "Nothing"
    headline = f"{lies} of {shop.name} lies on account: how much is paid back?"
    return _ask(request, reverse("shop_ledger", args=[pk]), form, headline, "Post the refund")


def _ask(request, back: str, form, headline: str, act: str):
    """One question with the form that answers it."""
    context = {"form": form, "headline": headline, "act": act, "back": back}
    return render(request, "orders/ledger_act.html", context, status=REFUSED if form.is_bound else 200)
