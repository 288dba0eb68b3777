"""All papers of a van day as one PDF: a sheet for loading on top, then each note and its slips, as they are stored."""

from decimal import Decimal
from io import BytesIO

from inventory.models import Workshop
from inventory.printing import render_pdf
from inventory.words import counted, in_pairs
from orders.domain.papers import paper_pdfs
from orders.models import Delivery


def day_papers_pdf(deliveries: list[Delivery], *, van_day: str) -> bytes:
    """One PDF in packing order. Every page behind the top sheet is a page of a stored paper, not a new rendering."""
    # pypdf is loaded with the first sheets, not with every start.
    from pypdf import PdfReader, PdfWriter  # noqa: PLC0415

    writer = PdfWriter()
    writer.append(PdfReader(BytesIO(render_pdf("print/day_papers.html", _sheet(deliveries, van_day)))))
    papers = [paper for delivery in deliveries for paper in papers_of_delivery(delivery)]
    for pdf in paper_pdfs(papers):
        writer.append(PdfReader(BytesIO(pdf)))
    writer.add_metadata({"/Title": f"Papers for the van of {van_day}"})
    whole = BytesIO()
    writer.write(whole)
    return whole.getvalue()


def papers_of_delivery(delivery: Delivery) -> list:
    """The note, then the slips by box."""
    return [delivery.note, *(box.slip for box in delivery.boxes.all() if box.slip)]


def _sheet(deliveries: list[Delivery], van_day: str) -> dict:
    notes = [delivery.note.content for delivery in deliveries]
    boxes = sum(len(note["boxes"]) for note in notes)
    pairs = sum(note["pairs"] for note in notes)
    gross = sum((Decimal(note["gross_kg"]) for note in notes), Decimal("0.00"))
    load = f"{counted(boxes, 'box', 'boxes')}, {in_pairs(pairs)}, {gross:f} kg"
    return {
        "workshop": Workshop.objects.first(),
        "van_day": van_day,
        "notes": notes,
        "boxes": boxes,
        "pairs": pairs,
        "gross_kg": f"{gross:f}",
        "sentence": f"{counted(len(notes), 'delivery', 'deliveries')} for the van of {van_day}: {load}",
    }
