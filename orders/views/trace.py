"""Trace: type any code, see where it came from and where it went; with the recall sheet as PDF and CSV."""

from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import resolve, reverse
from django.utils import timezone
from django.views.decorators.http import require_safe

from config.roles import for_roles, works_as
from inventory.csv_out import rows_as_csv
from inventory.models import Workshop
from inventory.printing import render_pdf
from inventory.views.paging import RequestConfig
from inventory.views.pdf import pdf_response
from orders.forms.trace import TraceForm
from orders.queries.complaints import open_complaints
from orders.queries.recall import recall_of, recall_rows
from orders.queries.trace_subjects import Traced, named, nearest, traced
from orders.recall_file import HEADINGS
from orders.scanned import codes_in
from orders.tables.trace import (
    BriefTable,
    GoneTable,
    HangingTable,
    KeptTable,
    MadeTable,
    MaterialsTable,
)
from production.queries.grading import readings_of
from production.queries.trace import frames_shown, made_of
from production.tables.grading import ReadingTable

ROWS = 25
MOST_FRAMES = 60  # of more than these a page names no origins: a lot of wax has hundreds of frames


@for_roles("packer", "dipper", "bookkeeper")
@require_safe
def trace(request):
    form = TraceForm(request.GET if request.GET.get("q", "").strip() else None)
    codes = codes_in(form.cleaned_data["q"]) if form.is_valid() else []
    found = next((hits for code in codes if (hits := named(code))), [])
    if len(found) == 1:
        return redirect("trace_of", found[0].kind, found[0].pk)
    offered = [] if found or not codes else nearest(codes[0])
    if codes and not found:
        form.add_error("q", f"Nothing in the book bears the code {codes[0]}.")
    context = {"form": form, "found": found, "offered": offered, "headline": _asked(codes, found)}
    return render(request, "orders/trace.html", context, status=422 if form.errors else 200)


def _asked(codes, found) -> str:
    if found:
        return f"{len(found)} things bear the code {codes[0]}: which is it?"
    if codes:
        return f"Nothing in the book bears the code {codes[0]}."
    return "Type or scan a code: where it came from, and who has it."


def get_traced(kind: str, pk: int) -> Traced:
    found = traced(kind, pk)
    if found is None:
        raise Http404("No such thing.")
    return found


def own_page(person, subject: Traced) -> str:
    """The address of the page of what is traced; empty where it has none, or this person works elsewhere."""
    if subject.page is None:
        return ""
    address = reverse(subject.page[0], args=[subject.page[1]])
    return address if works_as(person, *resolve(address).func.roles) else ""


@for_roles("packer", "dipper", "bookkeeper")
@require_safe
def trace_of(request, kind, pk):
    subject = get_traced(kind, pk)
    rings = works_as(request.user, "packer", "bookkeeper")
    recall = recall_of(subject, contacts=rings)
    tables = {
        "gone": GoneTable(recall.gone, calls=recall.to_ring if rings else None, linked=rings, prefix="gone-"),
        "kept": KeptTable(recall.kept, prefix="kept-"),
        "may": BriefTable(recall.may, whom=rings, prefix="may-") if subject.ways else None,
        "hanging": HangingTable(recall.hanging, prefix="floor-") if recall.hanging else None,
        **_origins(subject),
    }
    for table in tables.values():
        if table is not None:
            RequestConfig(request, paginate={"per_page": ROWS}).configure(table)
    context = {
        "subject": subject,
        "recall": recall,
        "own_page": own_page(request.user, subject),
        "rings": rings,
        "complaints": open_complaints().filter(lot__in=subject.lots) if rings and len(subject.lots) <= ROWS else (),
        **tables,
    }
    return render(request, "orders/trace_of.html", context)


def _origins(subject: Traced) -> dict:
    if subject.boxes is not None:
        return {}
    made = MadeTable(frames_shown(subject.frames), prefix="made-")
    few = subject.material is None and len(subject.frames) <= MOST_FRAMES
    return {
        "made": made,
        "readings": ReadingTable(readings_of(*subject.frames)) if few and len(subject.frames) == 1 else None,
        "materials": MaterialsTable(made_of(subject.frames), prefix="of-") if few else None,
    }


@for_roles("packer", "bookkeeper")
@require_safe
def recall_csv(request, kind, pk):
    subject = get_traced(kind, pk)
    return rows_as_csv(HEADINGS, recall_rows(subject), f"recall-{kind}-{subject.pk}")


@for_roles("packer", "bookkeeper")
@require_safe
def recall_pdf(request, kind, pk):
    subject = get_traced(kind, pk)
    context = {
        "subject": subject,
        "recall": recall_of(subject),
        "workshop": Workshop.objects.first(),
        "made_at": timezone.localtime(),
        "person": request.user,
    }
    return pdf_response(request, render_pdf("print/recall.html", context), f"recall-{kind}-{subject.pk}")
