"""The complaints log: what shops told of, tied to lots, followed and closed."""

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from config.roles import for_roles
from inventory.csv_out import csv_response
from inventory.faults import NAMES
from inventory.queries.records import records_of
from inventory.tables.stockroom import RecordTable
from inventory.views.lists import listed
from orders.complaint_words import complaint_sentence
from orders.domain.complaints import close_complaint, follow_complaint, note_complaint
from orders.forms.complaints import CloseComplaintForm, ComplaintFilter, ComplaintForm, FollowForm
from orders.models import Complaint
from orders.queries.complaints import complaints_listed, complaints_said
from orders.tables.complaints import ComplaintTable
from orders.views.refusals import placed, refused


@for_roles("packer", "bookkeeper")
@require_safe
def complaints(request):
    narrowed, table = listed(request, ComplaintTable, ComplaintFilter, complaints_listed())
    headline = complaints_said(timezone.localdate()) or "No complaint is open."
    context = {"filter": narrowed, "table": table, "headline": headline}
    return render(request, "orders/complaints.html", context)


@for_roles("packer", "bookkeeper")
@require_safe
def complaints_csv(request):
    _, table = listed(request, ComplaintTable, ComplaintFilter, complaints_listed())
    return csv_response(table, "complaints")


@for_roles("packer", "bookkeeper")
@require_http_methods(["GET", "HEAD", "POST"])
def complaint_new(request):
    form = ComplaintForm(request.POST or None, initial={"lot": request.GET.get("lot", "")[:80].replace("\x00", "")})
    if request.method == "POST" and form.is_valid():
        try:
            made = note_complaint(**form.cleaned_data, by=request.user)
        except ValidationError as error:
            form.add_error(None, placed(form, error))
        else:
            messages.success(request, "It is written down, and its fault counts in the faults table.")
            return redirect(made)
    status = 422 if request.method == "POST" else 200
    return render(request, "orders/complaint_new.html", {"form": form, "faults": NAMES}, status=status)


def get_complaint(pk: int) -> Complaint:
    return get_object_or_404(
        Complaint.objects.select_related("shop", "lot__candle__colour", "found", "made_by"), pk=pk
    )


@for_roles("packer", "bookkeeper")
@require_safe
def complaint(request, pk):
    return _show(request, get_complaint(pk))


@for_roles("packer", "bookkeeper")
@require_POST
def complaint_follow(request, pk):
    form = FollowForm(request.POST, auto_id="id_follow_%s")
    return _act(request, get_complaint(pk), follow_form=form)


@for_roles("packer", "bookkeeper")
@require_POST
def complaint_close(request, pk):
    form = CloseComplaintForm(request.POST, auto_id="id_close_%s")
    return _act(request, get_complaint(pk), close_form=form)


ACTS = {
    "follow_form": (follow_complaint, "It is put down."),
    "close_form": (close_complaint, "The complaint is closed."),
}


def _act(request, row: Complaint, **bound):
    """Do what the one form of `bound` asks, or show it with the reason."""
    ((name, form),) = bound.items()
    act, said = ACTS[name]
    if form.is_valid():
        try:
            act(complaint=row, by=request.user, **form.cleaned_data)
        except ValidationError as error:
            row = get_complaint(row.pk)
            refused(form, error, version=row.version)
        else:
            messages.success(request, said)
            return redirect(row)
    return _show(request, row, status=422, **bound)


def _show(request, row: Complaint, *, status: int = 200, **bound):
    """The page; `bound` brings a form that was refused."""
    version = {"version": row.version}
    forms = {
        "follow_form": FollowForm(initial=version, auto_id="id_follow_%s"),
        "close_form": CloseComplaintForm(initial=version, auto_id="id_close_%s"),
    }
    facts = {name: getattr(row, name) for name in ("pairs", "fault", "told_on", "closed_on")}
    context = {
        "complaint": row,
        "headline": complaint_sentence(shop=row.shop.name, lot=row.lot.code, **facts),
        "records": RecordTable(records_of("complaint", row.pk)),
        **(forms if row.closed_on is None else {}),
        **bound,
    }
    return render(request, "orders/complaint.html", context, status=status)
