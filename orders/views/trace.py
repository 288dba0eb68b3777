"""Trace: type any code, see where it came from and where it went; with the recall sheet as PDF and CSV."""

from django.http import Http404
from django.shortcuts import redirect, render
from django.urls import resolve, reverse
from django.utils import timezone
from django.views.decorators.http import require_safe
from django_tables2 import RequestConfig

from config.roles import for_roles, works_as
from inventory.csv_out import rows_as_csv
from inventory.models import Workshop
from inventory.printing import render_pdf
from orders.forms.trace import TraceForm
from orders.queries.complaints import open_complaints
from orders.queries.trace import briefs_of_lots, contacts_of, gone_in_boxes, gone_of_lots, kept_of
from orders.queries.trace_subjects import Traced, named, nearest, traced
from orders.recall import calls, recall_sentence, traces_in_words
from orders.recall_file import HEADINGS, file_rows, kept_row
from orders.scanned import codes_in
from orders.tables.trace import (
    BriefTable,
    GoneTable,
    HangingTable,
    KeptTable,
    MadeTable,
    MaterialsTable,
)
from orders.views.papers import pdf_response
from production.queries.grading import readings_of
from production.queries.trace import frames_shown, lots_of_frames, made_of, on_the_floor
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


def gone_of(subject: Traced) -> list:
    return gone_in_boxes(subject.boxes) if subject.boxes is not None else gone_of_lots(subject.lots)


def ways_of_lots(subject: Traced) -> dict[int, str]:
    """The lots of the frames that may hold traces of it, each with its way."""
    if not subject.ways:
        return {}
    lots = lots_of_frames(subject.ways).items()
    return {lot: subject.ways[frame] for lot, frame in lots if lot not in subject.lots}


def in_brief(subject: Traced, gone: list, *, rings: bool) -> tuple[list, list]:
    """Whom to ring up: for what holds it (Call), and for what may hold traces (Brief)."""
    may = briefs_of_lots(ways_of_lots(subject)) if subject.ways else []
    contacts = contacts_of({row.shop_id for row in (*gone, *may)}) if rings else {}
    for brief in may:
        brief.contacts = contacts.get(brief.shop_id, ())
    return calls(gone, contacts), may


@for_roles("packer", "dipper", "bookkeeper")
@require_safe
def trace_of(request, kind, pk):
    subject = get_traced(kind, pk)
    rings = works_as(request.user, "packer", "bookkeeper")
    gone, kept, hanging = gone_of(subject), kept_of(subject.lots), on_the_floor(subject.frames)
    to_ring, may = in_brief(subject, gone, rings=rings)
    tables = {
        "gone": GoneTable(gone, calls=to_ring if rings else None, linked=rings, prefix="gone-"),
        "kept": KeptTable(kept, prefix="kept-"),
        "may": BriefTable(may, whom=rings, prefix="may-") if subject.ways else None,
        "hanging": HangingTable(hanging, prefix="floor-") if hanging else None,
        **_origins(subject),
    }
    for table in filter(None, tables.values()):
        RequestConfig(request, paginate={"per_page": ROWS, "silent": True}).configure(table)
    pairs = sum(row.pairs for row in kept)
    context = {
        "subject": subject,
        "own_page": own_page(request.user, subject),
        "headline": recall_sentence(subject.what, gone, pairs, len(hanging)),
        "traces_said": traces_in_words(subject.ways.values()) if subject.material else "",
        "frames": len(subject.frames),
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
    ways = ways_of_lots(subject)
    gone = [*gone_of(subject), *gone_of_lots(ways, ways)]
    contacts = contacts_of({row.shop_id for row in gone})
    rows = [*file_rows(gone, contacts), *map(kept_row, kept_of(subject.lots))]
    return rows_as_csv(HEADINGS, rows, f"recall-{kind}-{subject.pk}")


@for_roles("packer", "bookkeeper")
@require_safe
def recall_pdf(request, kind, pk):
    subject = get_traced(kind, pk)
    gone, kept, hanging = gone_of(subject), kept_of(subject.lots), on_the_floor(subject.frames)
    to_ring, may = in_brief(subject, gone, rings=True)
    context = {
        "subject": subject,
        "sentence": recall_sentence(subject.what, gone, sum(row.pairs for row in kept), len(hanging)),
        "calls": to_ring,
        "may": may,
        "traces_said": traces_in_words(subject.ways.values()) if subject.material else "",
        "kept": kept,
        "hanging": hanging,
        "workshop": Workshop.objects.first(),
        "made_at": timezone.localtime(),
        "person": request.user,
    }
    return pdf_response(request, render_pdf("print/recall.html", context), f"recall-{kind}-{subject.pk}")
